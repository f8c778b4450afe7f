"""Where a screw hole goes by itself: sound, far out, or the least bad place."""

import math
from dataclasses import replace

import pytest
from manifold3d import Manifold

from holdwright.errors import GeometryError
from holdwright.geometry.mesh.boolean import connected
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import ScrewHole
from holdwright.operations.cut_screw_hole import CutScrewHole, CutScrewHoleParameters
from operations.outcomes import codes, finding
from operations.screwing import bored, cut, hold_of
from shapes import block, boulder, frustum


def test_the_place_found_is_sound_and_as_far_out_as_may_be(run):
    hold = bored(block(160, 140, 40), run)
    outcome = cut(hold, run)
    assert outcome.findings == ()
    (made,) = outcome.hold.find(ScrewHole)
    # The corner that keeps 12 mm from both edges.
    assert (abs(made.x), abs(made.y)) == pytest.approx((68.0, 58.0), abs=1.6)
    assert outcome.result.startswith("lever 88 mm, under head 37.0 mm, at ")
    assert outcome.result.endswith(f"at {made.x:.1f}, {made.y:.1f} mm")
    second = cut(outcome.hold, run)
    assert second.findings == ()
    other = second.hold.find(ScrewHole)[1]
    assert math.hypot(other.x - made.x, other.y - made.y) > 30.0


def test_a_screw_without_a_sound_place_may_be_left_out(run):
    small, thin = bored(block(36, 36, 40), run), hold_of(block(160, 140, 3))
    for hold in (small, thin):
        outcome = cut(hold, run, no_room="leave out")
        assert codes(outcome) == ["screw_left_out"]
        assert outcome.hold is hold
    assert cut(small, run).hold.find(ScrewHole)
    with pytest.raises(GeometryError, match="thick enough"):
        cut(thin, run)
    roomy = bored(block(160, 140, 40), run)
    assert cut(roomy, run, no_room="leave out").hold.find(ScrewHole) == cut(roomy, run).hold.find(ScrewHole)


@pytest.mark.parametrize(("tilt", "toward"), [(0.0, 0.0), (25.0, 0.0)])
def test_the_place_found_on_a_rough_dome_is_sound(run, tilt, toward):
    kernel = boulder(60, segments=96).kernel.translate((0, 0, 10)).trim_by_plane((0, 0, 1), 0)
    hold = bored(Solid.checked(kernel), run, at=(2.0, 3.0))
    outcome = cut(hold, run, tilt=tilt, toward=toward)
    assert not [each for each in outcome.findings if each.severity != "note"]
    (made,) = outcome.hold.find(ScrewHole)
    assert math.hypot(made.x - 2.0, made.y - 3.0) > 25.0
    assert len(connected(outcome.hold.whole)) == 1


def test_where_no_place_is_sound_the_least_bad_one_says_what_is_short(run):
    outcome = cut(bored(frustum(26.0, 22.0, 40.0), run), run)
    assert {each.severity for each in outcome.findings} & {"warning", "error"}
    assert all(each.where is not None for each in outcome.findings)
    with pytest.raises(GeometryError, match="thick enough"):
        cut(hold_of(block(60, 60, 3)), run)


@pytest.mark.filterwarnings("error")
def test_a_place_no_wider_than_the_hole_is_refused(run):
    """Nothing carries the head there, so no thickness can be measured under it."""
    post = Solid.checked(Manifold.cylinder(30.0, 2.0, 2.0, 64))
    with pytest.raises(GeometryError, match="no wider than the screw's hole"):
        CutScrewHole().apply(hold_of(post), CutScrewHoleParameters(place="at", at=(0.0, 0.0)), run)


def test_where_the_old_place_is_unsound_by_a_little_the_screw_goes_aside_and_not_elsewhere(run):
    hold = bored(block(120.0, 120.0, 30.0), run)
    found = cut(hold, run).hold.find(ScrewHole)[0]
    corner = math.copysign(1.0, found.x), math.copysign(1.0, found.y)
    # 12 mm from the edge are required: there are 10.5, and farther out 2.
    near, far = ((-corner[0] * (60.0 - away), 0.0, 0.0) for away in (10.5, 2.0))
    aside = cut(hold, replace(run, before=(near,)))
    told = finding(aside, "place_moved")
    assert told.severity == "note"
    assert 1.4 < told.measured < 2.2
    screw = aside.hold.find(ScrewHole)[-1]
    assert math.hypot(screw.x - near[0], screw.y - near[1]) == pytest.approx(told.measured, abs=0.01)
    assert aside.kept
    anew = cut(hold, replace(run, before=(far,)))
    assert finding(anew, "place_moved").severity == "warning"
    assert not anew.kept
