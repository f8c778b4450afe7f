"""Sharp edges of holds: on the grip, round the back, at a hole's mouth and within."""

import numpy as np
import pytest
from manifold3d import CrossSection, JoinType, Manifold

from checks.printed import RIM, checked, printed
from finished import bored_boulder, hold_of, split
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, TipCut

BORE = Bore(0.0, 0.0, (0.0, 0.0, 1.0), 10.5, 26.0, 15.0, 15.0, "M10", "washer")


def cushion(radius: float) -> Solid:
    """A plate lying along x whose upper edges are rounded by a radius, 6 mm on the ends."""
    inner = CrossSection.square((60.0 - 2 * radius, 30.0 - radius), False).translate((radius - 30.0, 0.0))
    outline = inner.offset(radius, JoinType.Round, circular_segments=96) ^ CrossSection.square(
        (100.0, 100.0)
    ).translate((-50.0, 0.0))
    return Solid.checked(Manifold.extrude(outline, 80.0).rotate((90, 0, 0)).translate((0, 40, 0)))


def along_top(found):
    return [each for each in found.findings if each.code == "sharp_edge" and each.where[2] > 2.0]


@pytest.mark.parametrize(
    ("radius", "use", "passes"),
    [(1.15, "hand", True), (0.85, "hand", False), (0.85, "foot", True), (0.4, "foot", False)],
)
def test_an_edge_just_passes_and_one_just_fails(radius, use, passes):
    found = checked("sharp_edge", printed(cushion(radius), use=use))
    # The plate's square ends are sharp in any case, over 2 (60 + 2 x 30) mm less the back.
    sharp = [each for each in along_top(found) if abs(each.where[1]) < 38.0]
    ends = 2 * (60.0 + 60.0)
    length = float(found.words.split()[0])
    assert (length == pytest.approx(ends, rel=0.1)) == passes, (length, sharp)


def test_use_and_radius_set_the_limit():
    assert checked("sharp_edge", printed(cushion(3.0))).limit == 1.0
    assert checked("sharp_edge", printed(cushion(3.0), use="foot")).limit == 0.5
    assert checked("sharp_edge", printed(cushion(3.0), use="foot", edge_radius=2.0)).limit == 2.0


def test_back_mouth_and_what_is_within_are_told_apart():
    hold = bored_boulder(96)
    found = checked("sharp_edge", printed(hold, features=(RIM, BORE)))
    assert not found.findings
    assert found.figure is None
    _, back, mouth = (float(part.split()[0]) for part in found.words.replace(",", ";").split(";"))
    low = hold.vertices[hold.vertices[:, 2] < 1e-6]
    assert back == pytest.approx(2 * np.pi * np.hypot(*low[:, :2].T).max(), rel=0.15)
    assert mouth == pytest.approx(2 * np.pi * 13.0, rel=0.3)


def test_edges_at_the_core_are_within():
    hold = hold_of(split(bored_boulder(96)))
    found = checked("sharp_edge", printed(hold.solids["shell"], hold.solids["core"], hold.features))
    assert not found.findings


def test_a_smooth_hold_without_a_back_has_none():
    ball = Solid.checked(Manifold.sphere(40.0, 96))
    found = checked("sharp_edge", printed(ball, features=()))
    assert isinstance(printed(ball), PrintedHold)
    assert not found.findings
    assert found.figure is None


def test_a_point_is_told_as_one():
    spike = Manifold.cylinder(30.0, 12.0, 0.0, 96) + Manifold.sphere(30.0, 128).translate((0, 0, -22))
    (finding,) = checked("sharp_edge", printed(Solid.checked(spike), features=())).findings
    assert finding.message.startswith("A point")
    assert finding.where == pytest.approx((0.0, 0.0, 30.0), abs=1.0)


def test_the_edges_of_cut_tips_are_one_note():
    """A spike cut 6 mm across."""
    spike = Manifold.cylinder(24.0, 12.0, 3.0, 96) + Manifold.sphere(30.0, 128).translate((0, 0, -22))
    tip = TipCut((0.0, 0.0, 24.0), (0.0, 0.0, 1.0), 6.0, 20.0)
    (finding,) = checked("sharp_edge", printed(Solid.checked(spike), features=(tip,))).findings
    assert finding.severity == "note"
    assert "1 cut tip" in finding.message
    assert f"over {np.pi * 6.0:.0f} mm" in finding.message
    (edge,) = checked("sharp_edge", printed(Solid.checked(spike), features=())).findings
    assert edge.severity == "warning"
