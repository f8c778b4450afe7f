"""What lifts, beside blocks that just lie flat and just do not."""

from dataclasses import replace

import numpy as np
import pytest

from checks.printed import RIM, checked, printed
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.mesh.solid import Solid
from shapes import block, frustum


def lifting(square: float, **settings: object) -> tuple[Solid, PrintedHold]:
    solid = block(square, square, 40.0)
    return solid, printed(solid, **settings)


# PETG: a curvature of 70e-6 (80 - 25) / 40 lifts 0.3 mm at an arm of 78.96 mm: a square of 111.7 mm.
LIMIT = 2.0**0.5 * np.sqrt(2.0 * 0.3 * 40.0 / (70e-6 * 55.0))


@pytest.mark.parametrize(("share", "passes"), [(0.98, True), (1.02, False)])
def test_a_block_just_passes_and_one_just_fails(share, passes):
    found = checked("corner_lift", lifting(share * LIMIT)[1])
    assert found.figure == pytest.approx(0.3 * share**2, rel=1e-3)
    assert (not found.findings) == passes
    assert np.abs(found.place) == pytest.approx([share * LIMIT / 2.0, share * LIMIT / 2.0, 0.0])


def test_the_finding_tells_corners_grade_and_remedies():
    (finding,) = checked("corner_lift", lifting(160.0)[1]).findings
    assert finding.severity == "note"
    assert "4 corners" in finding.message
    assert "160" not in finding.message
    assert "226 mm long" in finding.message
    assert "some" in finding.message
    for remedy in ("1 mm on the back", "corner tabs", "brim of 5 mm", "enclosed printer"):
        assert remedy in finding.advice
    (grave,) = checked("corner_lift", lifting(300.0, shell_material="ABS")[1]).findings
    assert grave.severity == "warning"
    assert "brim of 10 mm" in grave.advice
    assert "much" in grave.message
    enclosed = checked("corner_lift", lifting(300.0, machine="500 mm printer, enclosed")[1])
    assert "enclosed printer" not in enclosed.findings[0].advice


def test_stock_that_suffices_makes_it_a_note():
    solid, _ = lifting(300.0)
    rim = replace(RIM, allowance=4.0)
    bare = checked("corner_lift", printed(solid)).proposal
    assert (bare.operation, bare.parameter, bare.value) == ("trim_base", "allowance", 2.5)
    found = checked("corner_lift", printed(solid, features=(rim,)))
    assert found.proposal is None
    (finding,) = found.findings
    assert finding.severity == "note"
    assert "4 mm left for sanding" in finding.message


def test_a_round_base_lifts_at_its_edge_shell_and_core_as_one():
    whole, core = frustum(120.0, 110.0, 40.0), block(20.0, 20.0, 30.0).kernel
    split = printed(Solid.checked(whole.kernel - core), Solid.checked(core))
    (finding,) = checked("corner_lift", split).findings
    assert "the edge" in finding.message
    assert finding.measured == pytest.approx(checked("corner_lift", printed(whole)).figure, rel=0.02)


def test_a_higher_rim_is_proposed_as_high_as_it_helps():
    """What is as high as 0.3 mm of lift needs: its height times lift over 0.3."""
    size = 1.05 * LIMIT
    (finding,) = checked("corner_lift", lifting(size)[1]).findings
    needed = 40.0 * (finding.measured / 0.3 - 1.0)
    assert f"a rim of {np.ceil(3.0 + needed):.0f} mm" in finding.advice
    rimmed = block(size, size, 40.0 + needed)
    assert checked("corner_lift", printed(rimmed)).figure == pytest.approx(0.3, rel=1e-3)
