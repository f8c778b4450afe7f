"""Bores that lean and bores that are slots, against closed forms."""

from dataclasses import replace

import numpy as np
import pytest
from manifold3d import Manifold

from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.hole.hole_figures import BoreFigures
from holdwright.geometry.hole.hole_site import HoleSite, edge_distance
from holdwright.geometry.hole.hole_thickness import between
from holdwright.geometry.hole.seat import SeatRule, bolt_seat
from holdwright.geometry.mesh.frame import lean
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder

WITH_WASHER = Hole(0.0, 0.0, 20.0, 11.0, 31.0, 30.0)
HOLE, POCKET = 5.5, 15.5
FLATS = float(np.sqrt(2 * np.pi / 128 / np.sin(2 * np.pi / 128)) * np.cos(np.pi / 128))
"""Half width across flats of the polygon with 128 sides that has its circle's area, over the radius."""


def leaning(tilt: float, toward: float, shape: Hole = WITH_WASHER) -> Hole:
    return replace(shape, axis=lean(tilt, toward))


def slotted(shape: Hole, slot: float, toward: float = 0.0) -> Hole:
    way = np.array([np.cos(np.radians(toward)), np.sin(np.radians(toward)), 0.0])
    way[2] = -(way[:2] @ shape.axis[:2]) / shape.axis[2]
    return replace(shape, slot=slot, slot_along=tuple((way / np.linalg.norm(way)).tolist()))


def site_of(solid: Solid, shape: Hole) -> HoleSite:
    return HoleSite.of(solid.mesh, shape)


def measured(solid: Solid, shape: Hole, deep: float = 8.0):
    edge = edge_distance(solid, shape.x, shape.y, shape.half_slot[:2])
    return BoreFigures(solid, site_of(solid, shape), shape, edge, deep)


def test_oblique_hole_through_a_slab():
    # A cylinder of 11 mm at 20 degrees between planes 40 apart: pi 5.5^2 40 / cos 20 = 4045.287817 mm3.
    shape = leaning(20.0, 30.0, replace(WITH_WASHER, seat=70.0))
    assert cut_hole(block(200, 200, 40), shape).removed == pytest.approx(4045.287817, rel=1e-8)


@pytest.mark.parametrize(("tilt", "toward"), [(5.0, 0.0), (15.0, 90.0), (15.0, -130.0)])
def test_leaning_bore_takes_what_two_oblique_cylinders_hold(tilt, toward):
    # A cylinder between a plane square to it and an oblique one holds its section times the axis between.
    cut = cut_hole(block(120, 120, 40), leaning(tilt, toward))
    volume = np.pi * (HOLE**2 * 20 + POCKET**2 * (40 / np.cos(np.radians(tilt)) - 20))
    assert cut.removed == pytest.approx(volume, rel=1e-9)
    assert cut.solid.genus == 1


@pytest.mark.parametrize("tilt", [0.0, 15.0])
def test_slot_takes_its_two_halves_and_what_is_between(tilt):
    shape = slotted(leaning(tilt, 35.0), 8.0, 120.0)
    cut = cut_hole(block(140, 140, 40), shape)
    deep = 40 / np.cos(np.radians(tilt)) - 20
    areas = [np.pi * radius**2 + 8.0 * 2 * radius * FLATS for radius in (HOLE, POCKET)]
    assert cut.removed == pytest.approx(areas[0] * 20 + areas[1] * deep, rel=1e-9)
    # Against a true slot, without the polygon's bias.
    true = (np.pi * HOLE**2 + 88) * 20 + (np.pi * POCKET**2 + 248) * deep
    assert cut.removed == pytest.approx(true, rel=2e-4)
    assert cut.solid.genus == 1


def test_slot_of_a_countersunk_head():
    shape = slotted(Hole(0.0, 0.0, 14.0, 11.0, 22.4, 22.4, cone_angle=90.0), 6.0, 90.0)
    cut = cut_hole(block(100, 100, 40), shape)
    hole, pocket, cone = 5.5, 11.2, 5.7
    round_ = np.pi * (
        hole**2 * 14 + cone * (hole**2 + hole * pocket + pocket**2) / 3 + pocket**2 * (40 - 14 - cone)
    )
    flat = 6.0 * FLATS * (2 * hole * 14 + (hole + pocket) * cone + 2 * pocket * (40 - 14 - cone))
    assert cut.removed == pytest.approx(round_ + flat, rel=1e-9)


def test_slot_lies_the_way_it_was_asked_to():
    cut = cut_hole(block(140, 140, 40), slotted(WITH_WASHER, 8.0, 90.0)).solid.kernel
    # The hole reaches 4 + 5.5 up the wall and 5.5 across.
    for x, y, free in ((0.0, 9.3, True), (0.0, 9.7, False), (5.3, 0.0, True), (5.7, 0.0, False)):
        probe = Manifold.cylinder(10.0, 0.05, 0.05, 8).translate((x, y, 5.0))
        assert (float((cut ^ probe).volume()) == 0.0) is free


def test_seat_is_square_to_the_axis_and_the_pocket_open_along_it():
    shape = leaning(12.0, 200.0)
    cut = cut_hole(block(120, 120, 40), shape).solid.kernel
    there = np.linalg.inv(shape.frame)[:3]
    below = Manifold.cylinder(1.0, 15.0, 15.0, 64) - Manifold.cylinder(1.0, 5.6, 5.6, 64)
    below = below.translate((0, 0, 18.999)).transform(there)
    assert float((below ^ cut).volume()) == pytest.approx(float(below.volume()), rel=1e-9)
    above = Manifold.cylinder(100.0, 15.4, 15.4, 64).translate((0, 0, 20.001)).transform(there)
    assert (above ^ cut).num_tri() == 0
    through = Manifold.cylinder(100.0, 5.4, 5.4, 64).translate((0, 0, -20.0)).transform(there)
    assert (through ^ cut).num_tri() == 0


@pytest.mark.parametrize(("tilt", "toward"), [(15.0, 0.0), (8.0, 77.0)])
def test_thickness_under_a_leaning_seat_is_taken_along_the_axis_at_its_thin_side(tilt, toward):
    shape = leaning(tilt, toward)
    figures = measured(block(120, 120, 40), shape)
    assert figures.under_seat.value == pytest.approx(20.0 - 15.0 * np.tan(np.radians(tilt)), abs=1e-9)
    # On the back, under the side that leans towards the wall.
    assert figures.under_seat.place[2] == pytest.approx(0.0, abs=1e-9)
    way = np.radians(toward)
    assert figures.under_seat.place[:2] @ [np.cos(way), np.sin(way)] > 10.0
    asked, seat = bolt_seat(site_of(block(120, 120, 40), shape), SeatRule("thickness", 12.0, 13.5))
    assert asked == seat == pytest.approx(12.0 + 15.0 * np.tan(np.radians(tilt)), abs=1e-9)


def test_thickness_under_a_slot_counts_wherever_the_washer_can_stand():
    shape = slotted(leaning(10.0, 0.0), 8.0, 0.0)
    figures = measured(block(120, 120, 40), shape)
    assert figures.under_seat.value == pytest.approx(20.0 - 19.0 * np.tan(np.radians(10.0)), abs=1e-9)


def test_walls_of_a_leaning_bore_do_not_count_the_back():
    figures = measured(block(100, 80, 40), leaning(15.0, 0.0))
    # The nearest sides are those it does not lean to.
    assert figures.at_hole.value == pytest.approx(40 - HOLE, abs=0.02)
    # To the right the pocket comes nearer the higher it is; 8 below its edge, on the side it leans to.
    sine, cosine = np.sin(np.radians(15.0)), np.cos(np.radians(15.0))
    highest = (40.0 - POCKET * sine) / cosine - 8.0
    assert figures.at_pocket.value <= 40 - POCKET + 0.02
    assert figures.at_pocket.value >= min(40 - POCKET, (50 - highest * sine) / cosine - POCKET) - 0.6


def test_walls_and_edge_of_a_slot():
    figures = measured(block(100, 80, 40), slotted(WITH_WASHER, 10.0, 90.0))
    assert figures.at_hole.value == pytest.approx(40 - 5 - HOLE, abs=0.02)
    assert figures.at_pocket.value == pytest.approx(40 - 5 - POCKET, abs=0.02)
    assert figures.edge.value == pytest.approx(35.0, abs=0.01)
    off = measured(block(100, 80, 40), slotted(replace(WITH_WASHER, y=37.0), 10.0, 90.0))
    assert off.edge.value < 0.0


def test_lip_in_the_way_of_a_leaning_axis_alone():
    lip = block(160, 80, 30).kernel
    lip += Manifold.cube((30, 80, 10), True).translate((35, 0, 75))
    lip += Manifold.cube((10, 80, 60), True).translate((45, 0, 50))
    solid = Solid.checked(lip)
    shape = replace(WITH_WASHER, seat=15.0)
    assert measured(solid, shape).lip_volume.value == 0.0
    leant = measured(solid, leaning(15.0, 0.0, shape))
    assert leant.lip_volume.value > 100.0
    assert leant.lip_volume.place[2] > 60.0
    assert leant.highest_edge.value > measured(solid, shape).highest_edge.value + 40.0


def test_wall_between_two_bores():
    one = WITH_WASHER
    assert between(one, replace(one, x=40.0), 40.0).value == pytest.approx(9.0)
    assert between(one, replace(one, x=30.0), 40.0).value == pytest.approx(-1.0)
    # Leaning towards each other: the pockets are nearest at the top, the holes below are farther apart.
    pair = leaning(10.0, 0.0), leaning(10.0, 180.0, replace(one, x=60.0))
    assert between(*pair, 40.0).value == pytest.approx(60 - 80 * np.tan(np.radians(10.0)) - 31)
    # Slots: end to end, side by side, and crossed.
    assert between(slotted(one, 8.0), slotted(replace(one, x=50.0), 8.0), 40.0).value == pytest.approx(11.0)
    beside = slotted(replace(one, x=3.0, y=50.0), 8.0)
    assert between(slotted(one, 8.0), beside, 40.0).value == pytest.approx(19.0)
    crossed = slotted(replace(one, x=1.0, y=1.0), 8.0, 90.0)
    assert between(slotted(one, 8.0), crossed, 40.0).value == pytest.approx(-31.0)


def swept(shape: Hole, radius: float, low: float, high: float) -> Manifold:
    """Give what a cylinder takes that slides along the slot, in the hold's frame."""
    one = Manifold.cylinder(high - low, radius, radius, 96)
    half = shape.slot / 2 * np.array(shape.slot_way)
    ends = [one.translate((*(side * half), low)) for side in (-1.0, 1.0)]
    return Manifold.batch_hull(ends).transform(np.linalg.inv(shape.frame)[:3])


@pytest.mark.parametrize(
    ("seed", "tilt", "toward", "slot"),
    [(0, 0.0, 0.0, 8.0), (1, 7.0, 40.0, 0.0), (2, 15.0, -100.0, 0.0), (3, 12.0, 170.0, 6.0)],
)
def test_figures_of_a_bore_in_a_rock_are_what_the_kernel_finds(seed, tilt, toward, slot):
    kernel = boulder(55.0, 0.2, seed).kernel.trim_by_plane((0, 0, 1), -20.0).translate((0, 0, 20.0))
    shape = slotted(leaning(tilt, toward, replace(WITH_WASHER, x=2.0, y=-3.0, seat=28.0)), slot, 25.0)
    figures = measured(Solid.checked(kernel), shape)
    thick, wall = figures.under_seat.value, figures.at_hole.value
    # A whole thickness under the ring is material, and a little more is not.
    for more, whole in ((-0.01, True), (0.3, False)):
        ring = swept(shape, 15.0, 28.0 - thick - more, 27.999) - swept(shape, HOLE, -30.0, 60.0)
        assert (float((ring - kernel).volume()) < 1e-6 * float(ring.volume())) is whole
    # Nothing open is nearer to the hole than its wall, but something is a little farther away.
    low = float(np.tan(np.radians(tilt)) * (HOLE + 2.0 + slot / 2))
    for more, free in ((-0.3, True), (1.0, False)):
        wide = swept(shape, HOLE + wall + more, low, 28.0).trim_by_plane((0.0, 0.0, 1.0), 0.0)
        assert (float((wide - kernel).volume()) < 0.5) is free
