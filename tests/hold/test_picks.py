import numpy as np
import pytest

from holdwright.hold.picks import settle
from holdwright.parameters.kinds import PointPick
from shapes import block


def picked(point, normal=(0.0, 0.0, 1.0)) -> PointPick:
    return PointPick(point=point, normal=normal)


@pytest.mark.parametrize(
    ("moved", "severities"),
    [(0.0, []), (0.49, []), (0.51, ["warning"]), (4.9, ["warning"]), (5.1, ["error"])],
)
def test_a_pick_is_put_on_the_surface_and_says_how_far_it_moved(moved, severities):
    settled = settle(block(), picked((10.0, 5.0, 40.0 + moved)), "tip 2")
    assert settled.point == pytest.approx([10.0, 5.0, 40.0])
    assert settled.normal == pytest.approx([0.0, 0.0, 1.0])
    assert [finding.severity for finding in settled.findings] == severities
    for finding in settled.findings:
        assert finding.code == "pick_moved"
        assert finding.measured == pytest.approx(moved)
        assert "tip 2" in finding.message


def test_a_pick_near_a_thin_edge_stays_on_its_own_side():
    plate = block(100.0, 80.0, 1.0)
    settled = settle(plate, picked((0.0, 0.0, 0.4), (0.0, 0.0, 1.0)))
    assert settled.point == pytest.approx([0.0, 0.0, 1.0])
    assert [finding.severity for finding in settled.findings] == ["warning"]


def test_a_surface_that_faces_away_is_an_error():
    settled = settle(block(), picked((0.0, 0.0, 0.1), (0.0, 0.0, 1.0)))
    assert [(finding.code, finding.severity) for finding in settled.findings] == [
        ("pick_faces_away", "error")
    ]
    assert settled.findings[0].measured == pytest.approx(180.0)


def test_a_pick_without_a_normal_takes_the_nearest_surface():
    settled = settle(block(), picked((0.0, 0.0, 0.1), (0.0, 0.0, 0.0)))
    assert settled.point == pytest.approx([0.0, 0.0, 0.0])
    assert settled.findings == ()
    assert np.linalg.norm(settled.normal) == pytest.approx(1.0)
