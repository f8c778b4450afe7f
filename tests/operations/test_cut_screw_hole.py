"""Screw holes against closed forms, their findings against cases worked by hand, the search by its rules."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import CatalogueError, GeometryError, ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import hole_cutter
from holdwright.geometry.mesh.boolean import connected
from holdwright.geometry.mesh.frame import lean, placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, ScrewHole, TipCut
from holdwright.hold.hold import Hold
from holdwright.operations.base import Run
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from operations.outcomes import codes, finding
from operations.screwing import at, bored, box, cone, cut, hold_of, on, removed
from shapes import block, boulder

FIVE = (5.5, 10.4, 90.0)
"""Hole, countersink's mouth and angle for a 5 mm screw: DIN 74-1:1980 series A-m, by a secondary page."""


def test_hole_for_a_five_millimetre_screw_in_a_slab(run):
    # 5.5 mm through 12 mm, countersunk at 90 degrees to 10.4: 2.45 mm deep; 352.357629 mm3 by Pappus.
    assert math.pi * 2.75**2 * 9.55 + cone(2.75, 5.2, 2.45) == pytest.approx(352.357629)
    hold = hold_of(block(160, 140, 12))
    outcome = at(hold, run, 10.0, 20.0, head_below=0.0)
    assert removed(hold, outcome) == pytest.approx(352.357629, rel=1e-7)
    assert outcome.hold.whole.genus == 1
    assert outcome.findings == ()
    (made,) = outcome.hold.find(ScrewHole)
    assert (made.diameter, made.head_diameter, made.cone_angle) == FIVE
    assert made.thickness_under_head == pytest.approx(9.55)
    assert made.hole.cone_height == pytest.approx(2.45)


@pytest.mark.parametrize("name", load_catalogue().names("wood_screws"))
def test_every_screw_of_the_catalogue_takes_its_closed_form(run, name):
    row = next(each for each in run.catalogue.wood_screws if each.name == name)
    r, big_r = row.clearance / 2, row.mouth / 2
    depth = (big_r - r) / math.tan(math.radians(row.head_angle / 2))
    hold = hold_of(block(100, 80, 20))
    outcome = at(hold, run, 0.0, 0.0, screw=name, head_below=1.0)
    told = math.pi * r * r * (19 - depth) + cone(r, big_r, depth) + math.pi * big_r**2 * 1.0
    assert removed(hold, outcome) == pytest.approx(told, rel=1e-7)


@pytest.mark.parametrize(("tilt", "toward"), [(20.0, 0.0), (35.0, 90.0), (10.0, 217.0)])
def test_a_leaning_hole_takes_its_closed_form_and_its_head_is_sunk_all_round(run, tilt, toward):
    # A cylinder cut off aslant has the volume of its axis' length times its section.
    hold = hold_of(block(200, 200, 30))
    outcome = at(hold, run, 3.0, -4.0, tilt=tilt, toward=toward)
    (made,) = outcome.hold.find(ScrewHole)
    along, mouth = 30 / math.cos(math.radians(tilt)), made.seat + made.hole.cone_height
    shank, pocket = math.pi * 2.75**2 * made.seat, math.pi * 5.2**2 * (along - mouth)
    assert removed(hold, outcome) == pytest.approx(shank + cone(2.75, 5.2, 2.45) + pocket, rel=1e-7)
    assert np.allclose(made.axis, lean(tilt, toward))
    lowest = along - 5.2 * math.tan(math.radians(tilt))
    assert lowest - 0.5 - 0.5 <= mouth <= lowest - 0.5 + 1e-9
    assert outcome.hold.whole.genus == 1
    # Square to the axis: at the countersink's edge towards the lean the back is nearest.
    under = made.seat - 5.2 * math.tan(math.radians(tilt))
    assert made.thickness_under_head == pytest.approx(under, abs=0.5 * math.tan(math.radians(tilt)) + 0.01)


def test_cutter_volume_is_that_of_pappus_whatever_its_axis():
    for axis in ((0.0, 0.0, 1.0), lean(33.0, 140.0)):
        shape = Hole(3.0, 4.0, 9.55, *FIVE[:2], 10.4, axis, 90.0)
        told = math.pi * 2.75**2 * 10.55 + cone(2.75, 5.2, 2.45) + math.pi * 5.2**2 * 3.0
        assert hole_cutter(shape, -1.0, 15.0).volume == pytest.approx(told, rel=1e-8)


def test_the_head_goes_deeper_where_the_hold_is_thick(run):
    hold = hold_of(block(100, 80, 40))
    outcome = at(hold, run, 0.0, 0.0, at_most=8.0)
    told = math.pi * 2.75**2 * 8 + cone(2.75, 5.2, 2.45) + math.pi * 5.2**2 * (40 - 10.45)
    assert removed(hold, outcome) == pytest.approx(told, rel=1e-7)
    (deep,) = outcome.findings
    assert (deep.code, deep.measured) == ("deep_head", pytest.approx(40 - 10.45))
    # Beside a pocket that deep the side of the hold counts as its wall: 50 - 40 - 5.2.
    near = finding(at(hold, run, 40.0, 0.0, at_most=8.0, edge=1.0), "thin_wall_at_screw")
    assert near.measured == pytest.approx(4.8, abs=0.01)
    with pytest.raises(ParameterError, match="At most 4 mm"):
        at(hold, run, 0.0, 0.0, at_most=4.0)


def test_stock_below_the_back_is_cut_through_too(run):
    slab = block(100, 80, 21).moved(placement(shift=np.array([0.0, 0.0, -1.0])))
    outcome = at(hold_of(slab), run, 0.0, 0.0, head_below=0.0)
    (made,) = outcome.hold.find(ScrewHole)
    assert made.thickness_under_head == pytest.approx(17.55)
    assert outcome.hold.whole.genus == 1


def test_too_near_a_bore_and_another_screw_is_told_with_place_and_figure(run):
    hold = bored(block(160, 140, 40), run)
    # Seat of the bore 26.5; its pocket's radius 15.5: 20 - 5.2 - 15.5 above it, where the head is.
    (bore,) = hold.find(Bore)
    near = at(hold, run, bore.pocket_diameter / 2 + 5.2 + 2.0, 0.0)
    met = finding(near, "screw_near_bore")
    assert met.measured == pytest.approx(2.0, abs=0.05)
    assert met.severity == "error"
    assert met.where[0] == pytest.approx(bore.pocket_diameter / 2, abs=0.3)
    first = at(hold, run, 60.0, 0.0).hold
    second = at(first, run, 60.0, 5.2 + 5.2 + 3.5)
    assert finding(second, "screw_near_screw").measured == pytest.approx(3.5, abs=0.05)
    assert "runs into" in finding(at(first, run, 60.0, 8.0), "screw_near_screw").message
    assert "screw_near_screw" not in codes(at(first, run, 60.0, 17.0))


def test_too_near_the_edge_and_through_the_side(run):
    hold = hold_of(block(100, 80, 30))
    near = at(hold, run, 44.0, 0.0)
    assert finding(near, "screw_near_edge").measured == pytest.approx(6.0, abs=0.01)
    wall = finding(near, "thin_wall_at_screw")
    assert wall.measured == pytest.approx(6.0 - 2.75, abs=0.01)
    assert wall.where[0] == pytest.approx(50.0)
    through = at(hold, run, 48.5, 0.0)
    assert "breaks through" in finding(through, "screw_breaks_wall").message
    assert finding(through, "countersink_broken").severity == "error"
    leaning = at(hold, run, 36.0, 0.0, tilt=40.0, toward=0.0)
    assert "thin_wall_at_screw" in codes(leaning)


def test_too_thin_under_the_head(run):
    outcome = at(hold_of(block(100, 80, 7)), run, 0.0, 0.0)
    met = finding(outcome, "thin_under_head")
    assert met.measured == pytest.approx(7 - 0.5 - 2.45)
    assert met.limit == 6.0
    with pytest.raises(GeometryError, match=r"only 3\.0 mm thick"):
        at(hold_of(block(100, 80, 3)), run, 0.0, 0.0)


def test_an_overhang_in_the_drivers_way_is_told_and_not_cut(run):
    shelf = on(
        Manifold.cube((100, 80, 20), True).translate((0, 0, 10)),
        box((20, 50), (-40, 40), (45, 55)),
        box((45, 50), (-40, 40), (0, 55)),
    )
    hold = hold_of(shelf)
    outcome = at(hold, run, 30.0, 0.0)
    met = finding(outcome, "driver_blocked")
    assert met.measured == pytest.approx(25.0)
    assert met.where[2] == pytest.approx(45.0)
    assert outcome.hold.whole.genus == shelf.genus + 1
    assert "driver_blocked" not in codes(at(hold, run, 10.0, 0.0))
    # Leaning out from under the shelf helps.
    assert "driver_blocked" not in codes(at(hold, run, 8.0, 0.0, tilt=20.0, toward=180.0))
    assert "driver_blocked" in codes(at(hold, run, 8.0, 0.0, tilt=30.0, toward=0.0))


def test_a_cut_tip_is_kept_clear_of(run):
    tip = TipCut((20.0, 0.0, 30.0), (0.0, 0.0, 1.0), 8.0, 3.0)
    hold = hold_of(block(100, 80, 30), tip)
    # Mouth half a millimetre below the top: 5.2 + 4 mm of the 12 are taken.
    met = finding(at(hold, run, 8.0, 0.0), "screw_near_tip")
    assert met.measured == pytest.approx(12 - 5.2 - 4, abs=0.02)
    assert "screw_near_tip" not in codes(at(hold, run, -10.0, 0.0))


def test_a_head_on_what_faces_up_the_wall_is_noted(run):
    wedge = Solid.checked(
        Manifold.hull_points([(x, y, z) for x in (-50, 50) for y, z in ((-40, 0), (40, 0), (-40, 110))])
    )
    assert finding(at(hold_of(wedge), run, 0.0, 0.0, wall=1.0), "screw_on_grip").severity == "note"
    turned = wedge.moved(placement(np.diag([-1.0, -1.0, 1.0])))
    assert "screw_on_grip" not in codes(at(hold_of(turned), run, 0.0, 0.0, wall=1.0))


def test_refusals_are_one_sentence(run):
    hold = hold_of(block(100, 80, 30))
    with pytest.raises(ParameterError, match=r"10\.0 mm off the back"):
        at(hold, run, 60.0, 0.0)
    with pytest.raises(CatalogueError, match="wood screw '7 mm'"):
        cut(hold, run, screw="7 mm")
    with pytest.raises(ParameterError, match="true size"):
        cut(Hold().with_whole(block()), run)
    floating = block(100, 80, 30).moved(placement(shift=np.array([0.0, 0.0, 5.0])))
    with pytest.raises(GeometryError, match="no flat back"):
        cut(hold_of(floating), run)


def test_the_feature_follows_the_hold(run):
    (made,) = at(hold_of(block(100, 80, 30)), run, 10.0, 5.0, tilt=20.0).hold.find(ScrewHole)
    quarter = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    turned = made.moved(placement(quarter))
    assert (turned.x, turned.y) == pytest.approx((-5.0, 10.0))
    assert np.allclose(turned.axis, lean(20.0, 90.0))


def test_the_end_of_a_slotted_bore_is_kept_clear_of(run):
    hold = (
        CutBore()
        .apply(
            hold_of(block(160, 140, 40)),
            CutBoreParameters(place="at", at=(0.0, 0.0), hole="slot", slot=20.0),
            run,
        )
        .hold
    )
    (bore,) = hold.find(Bore)
    assert bore.slot == 20.0
    assert bore.slot_along == pytest.approx((1.0, 0.0, 0.0))
    end = bore.pocket_diameter / 2 + bore.slot / 2
    met = finding(at(hold, run, end + 5.2 + 3.0, 0.0), "screw_near_bore")
    assert met.measured == pytest.approx(3.0, abs=0.05)
    assert "thin_wall_at_screw" not in codes(at(hold, run, end + 5.2 + 3.0, 0.0))
    assert "screw_near_bore" not in codes(at(hold, run, 0.0, bore.pocket_diameter / 2 + 5.2 + 7.0))


@settings(deadline=None, max_examples=10, derandomize=True)
@given(
    x=st.floats(-50.0, 50.0),
    y=st.floats(-50.0, 50.0),
    tilt=st.floats(0.0, 45.0),
    toward=st.floats(0.0, 360.0),
)
def test_wherever_it_goes_the_hold_stays_closed_or_the_step_refuses(x, y, tilt, toward):
    kernel = boulder(60, segments=64).kernel.translate((0, 0, 10)).trim_by_plane((0, 0, 1), 0)
    hold = hold_of(Solid.checked(kernel))
    try:
        outcome = at(hold, Run(load_catalogue()), x, y, tilt=tilt, toward=toward)
    except (GeometryError, ParameterError):
        return
    (made,) = outcome.hold.find(ScrewHole)
    assert len(connected(outcome.hold.whole)) == 1
    assert outcome.hold.whole.volume < hold.whole.volume
    grave = any(each.severity == "error" for each in outcome.findings)
    assert grave or outcome.hold.whole.genus == 1
    # The countersink lies within the hold all round, half a millimetre below the surface.
    shape = made.hole
    disc = hole_cutter(shape, made.seat - 0.02, shape.mouth + 0.02)
    inside = float((disc.kernel ^ hold.whole.kernel).volume())
    assert grave or inside == pytest.approx(disc.volume, rel=1e-6)
