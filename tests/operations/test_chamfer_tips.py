"""The step that cuts tips blunt, from parameters to findings."""

import math

import numpy as np
import pytest

from holdwright.errors import ParameterError
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.tips import surface_blocks, tip_search
from holdwright.hold.feature import Envelope, Rim, TipCut
from holdwright.hold.hold import Hold
from holdwright.operations.base import Run
from holdwright.operations.chamfer_tips import ChamferTips, ChamferTipsParameters
from holdwright.parameters.describe import describe
from holdwright.parameters.kinds import PointPick
from operations.outcomes import codes
from shapes import block, boulder
from tipped import cone, ear, plate, roof, sideways, standing


def chamfer(solid, *features, sized=True, limit=90.0, **parameters):
    parameters["limit"] = limit
    hold = Hold(sized=sized).with_whole(solid, *features)
    return ChamferTips().apply(hold, ChamferTipsParameters(**parameters), Run(catalogue=None))


def pick(x, y, z):
    return PointPick(point=(x, y, z), normal=(0.0, 0.0, 0.0))


@pytest.fixture(scope="module")
def three_cones():
    return standing(
        (cone(60.0), 25.0, 0.0, 30.0), (cone(50.0), -12.0, 20.0, 31.0), (cone(70.0), -12.0, -20.0, 32.0)
    )


def test_found_tips_are_cut_and_recorded(three_cones):
    outcome = chamfer(three_cones)
    cuts = outcome.hold.find(TipCut)
    assert outcome.result == "3 of 3 tips cut"
    assert outcome.findings == ()
    assert [round(cut.width, 1) for cut in cuts] == [8.0] * 3
    assert three_cones.volume - outcome.hold.whole.volume == pytest.approx(
        sum(cut.removed_mm3 for cut in cuts)
    )
    for cut in cuts:
        height = 4.0 / math.tan(math.radians({30: 30, 31: 25, 32: 35}[round(_apex_height(cut))]))
        assert cut.removed_mm3 == pytest.approx(math.pi * 16.0 * height / 3.0, rel=0.02)


def _apex_height(cut):
    return {25: 30.0, 20: 31.0, -20: 32.0}[round(cut.place[0] if cut.place[0] > 0 else cut.place[1])]


def test_cutting_again_finds_nothing_more(three_cones):
    once = chamfer(three_cones).hold.whole
    twice = chamfer(once)
    assert twice.result == "no tip sharper than 90 deg"
    assert twice.hold.whole is once
    assert twice.hold.find(TipCut) == ()


def test_a_tip_can_be_left_alone_and_stays_so_on_a_revised_sculpt(three_cones):
    asked = {"leave_out": (pick(24.0, 0.5, 29.0),)}
    assert chamfer(three_cones, **asked).result == "2 of 3 tips cut"
    revised = three_cones.moved(np.diag([1.05, 1.05, 1.05, 1.0]))
    outcome = chamfer(revised, **asked)
    assert outcome.result == "2 of 3 tips cut"
    assert outcome.hold.whole.bounds[1, 2] == pytest.approx(31.5)
    assert all(cut.place[0] < 0 for cut in outcome.hold.find(TipCut))


def test_a_place_to_leave_alone_without_a_tip_is_told(three_cones):
    outcome = chamfer(three_cones, leave_out=(pick(0.0, 0.0, 10.0),))
    assert outcome.result == "3 of 3 tips cut"
    assert codes(outcome) == ["leave_out_unused"]


def test_picked_tips_alone_or_beside_those_found(three_cones):
    blunt = Solid.checked(three_cones.kernel + cone(110.0, 10.0).translate((0, 0, 19)))
    only = chamfer(blunt, tips="picked", picks=(pick(0.3, 0.2, 18.7),))
    assert only.result == "1 of 1 tip cut"
    assert only.hold.find(TipCut)[0].place[:2] == pytest.approx((0.0, 0.0), abs=0.3)
    both = chamfer(blunt, tips="both", picks=(pick(0.3, 0.2, 18.7), pick(25.0, 0.0, 30.0)))
    assert both.result == "4 of 4 tips cut"
    assert chamfer(blunt, tips="picked").result == "no tip picked"


def test_a_pick_on_a_flat_place_cuts_nothing(three_cones):
    outcome = chamfer(three_cones, tips="picked", picks=(pick(0.0, 0.0, 10.0),))
    assert codes(outcome) == ["pick_not_a_tip"]
    assert outcome.result == "no tip picked"
    assert outcome.hold.whole is three_cones


def test_low_tips_get_the_wall_angle_and_high_ones_are_cut_square():
    solid = sideways(50.0, 70.0, 12.0, rise=15.0, azimuth=30.0)
    (low,) = chamfer(solid).hold.find(TipCut)
    (steep,) = chamfer(solid, angle=60.0).hold.find(TipCut)
    (high,) = chamfer(solid, low_height=5.0).hold.find(TipCut)
    assert np.degrees(np.arccos(low.normal[2])) == pytest.approx(40.0, abs=1e-6)
    assert np.degrees(np.arccos(steep.normal[2])) == pytest.approx(60.0, abs=1e-6)
    assert np.degrees(np.arccos(high.normal[2])) == pytest.approx(75.0, abs=1.0)
    for cut in (low, steep, high):
        assert np.degrees(math.atan2(cut.normal[1], cut.normal[0])) == pytest.approx(30.0, abs=1.0)


def test_bodies_without_tips_stay_as_they_are():
    stone = boulder()
    outcome = chamfer(stone)
    assert outcome.hold.whole is stone
    assert outcome.result == "no tip sharper than 90 deg"


def test_a_plain_block_keeps_its_corners_by_default():
    """A box's corner holds as much of a ball as a cone of 83 degrees: no dangerous tip."""
    default = ChamferTipsParameters().limit
    assert chamfer(block(), limit=default).result == f"no tip sharper than {default:g} deg"


def test_a_ridge_is_told_and_not_cut():
    solid = Solid.checked(plate() + roof(40.0).translate((0, 0, 9)))
    outcome = chamfer(solid)
    assert codes(outcome) == ["edge_not_cut"]
    assert outcome.hold.whole is solid
    assert outcome.findings[0].where[2] == pytest.approx(39.0, abs=0.5)


def test_a_flat_that_stays_too_narrow_is_told():
    outcome = chamfer(standing((ear(thick=6.0), 0.0, 10.0, 34.0)), deepest=6.0)
    assert "flat_too_narrow" in codes(outcome)
    assert outcome.result == "1 of 1 tip cut"


def test_a_cut_that_reaches_rim_or_back_is_told():
    rim = Rim(height=6.0, allowance=0.0, chamfer=0.0, area=6000.0, islands=1, holes=0)
    assert "cut_reaches_rim" in codes(chamfer(sideways(50.0, 70.0, 7.0), rim))
    assert "cut_reaches_back" in codes(chamfer(sideways(70.0, 70.0, 1.0), rim))
    assert not {"cut_reaches_rim", "cut_reaches_back"} & set(codes(chamfer(sideways(50.0, 70.0, 20.0), rim)))


def test_a_hold_without_true_size_is_refused(three_cones):
    with pytest.raises(ParameterError, match="scale it before"):
        chamfer(three_cones, sized=False)


def test_the_step_declares_itself():
    assert (ChamferTips.name, ChamferTips.order, ChamferTips.repeatable) == ("chamfer_tips", 50, True)
    for each in describe(ChamferTipsParameters):
        assert each.title, each.name
        assert each.description, each.name


def test_what_was_too_much_to_search_is_told(monkeypatch, three_cones):
    monkeypatch.setattr(tip_search, "COARSEST", 0.0)
    assert "tips_not_all_searched" not in codes(chamfer(three_cones))
    monkeypatch.setattr(surface_blocks, "MOST_BOXES", 5)
    [told] = [each for each in chamfer(three_cones).findings if each.code == "tips_not_all_searched"]
    assert told.severity == "warning"
    assert 0.0 < told.measured < 100.0


def test_what_cuts_take_off_the_size_requested_is_told() -> None:
    solid = sideways(50.0, 70.0, 20.0)
    width = float(solid.size[0])
    asked = Envelope("width", (width,), width, (width, width, 40.0), 1.0, finished=True)
    outcome = chamfer(solid, asked)
    (told,) = (each for each in outcome.findings if each.code == "tips_cut_size")
    assert told.measured == pytest.approx(width - outcome.hold.whole.size[0])
    assert told.measured > 2.0
    assert told.severity == "warning"
    assert "tips_cut_size" not in codes(chamfer(solid))
