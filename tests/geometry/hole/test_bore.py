"""The bore's cutter, cut and figures, against Pappus and hand-worked cases."""

from dataclasses import replace

import numpy as np
import pytest
from manifold3d import CrossSection, Manifold

from holdwright.errors import GeometryError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole, hole_cutter
from holdwright.geometry.hole.hole_figures import BoreFigures
from holdwright.geometry.hole.hole_site import HoleSite, edge_distance
from holdwright.geometry.hole.seat import SeatRule, bolt_seat, seat_heights
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder, frustum, ring

WITH_WASHER = Hole(0.0, 0.0, 20.0, 11.0, 31.0, 30.0)
BARE = Hole(0.0, 0.0, 20.0, 11.0, 18.0, 16.0)


def solid_of(*kernels: Manifold) -> Solid:
    return Solid.checked(sum(kernels[1:], start=kernels[0]))


def box(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Manifold:
    low, high = np.array([x, y, z]).T
    return Manifold.cube(tuple(high - low)).translate(tuple(low))


def site_of(solid: Solid, shape: Hole) -> HoleSite:
    return HoleSite.of(solid.mesh, shape)


def measured(solid: Solid, shape: Hole, deep: float = 8.0):
    edge = edge_distance(solid, shape.x, shape.y)
    return BoreFigures(solid, site_of(solid, shape), shape, edge, deep)


def pappus(profile: list[tuple[float, float]]) -> float:
    """Volume swept by a polygon (r, z) turned once: 2 pi times its area times its centroid's radius."""
    r, z = np.array(profile).T
    cross = r * np.roll(z, -1) - np.roll(r, -1) * z
    return float(np.pi / 3 * abs(cross @ (r + np.roll(r, -1))))


def test_bore_for_a_bare_m10_head_removes_what_pappus_says():
    # 11 mm hole up to 20, 18 mm pocket to 31: area 209, centroid radius 3.57894737, 4699.822610 mm3.
    assert pappus([(0, 0), (5.5, 0), (5.5, 20), (9, 20), (9, 31), (0, 31)]) == pytest.approx(4699.822610)
    assert cut_hole(block(100, 80, 31), BARE).removed == pytest.approx(4699.822610, rel=1e-7)


@pytest.mark.parametrize("segments", [16, 64, 128])
def test_volume_does_not_depend_on_the_number_of_sides(segments):
    cutter = hole_cutter(BARE, -1.0, 31.0, segments)
    profile = [(0, -1), (5.5, -1), (5.5, 20), (9, 20), (9, 31), (0, 31)]
    assert cutter.volume == pytest.approx(pappus(profile), rel=1e-9)


def test_bored_hemisphere():
    # Hemisphere R50, 11 mm to the seat at 25, 18 mm above: 2375.829444 + 6258.101779 removed, by the cap
    # formula.
    half = Solid.checked(Manifold.sphere(50.0, 1024).trim_by_plane((0, 0, 1), 0.0))
    cut = cut_hole(half, replace(BARE, seat=25.0))
    assert cut.removed == pytest.approx(8633.931224, rel=2e-5)
    # The ball's own facets cost 1.2e-5 of its volume.
    assert cut.solid.volume == pytest.approx(253165.456575, rel=3e-5)
    assert cut.solid.genus == 1


def test_bored_frustum():
    # Frustum 60/35/45 less 11 mm through and 18 x 11 mm from the top: 320302.649793 of 326332.936892 mm3.
    cut = cut_hole(frustum(60.0, 35.0, 45.0), replace(BARE, seat=34.0))
    assert cut.removed == pytest.approx(326332.936892 - 320302.649793, rel=1e-6)


def test_slanting_hole_through_a_slab():
    # 11 mm at 20 degrees through 40 mm: area of the circle times 40 / cos 20 = 4045.287817 mm3.
    axis = (float(np.sin(np.radians(20))), 0.0, float(np.cos(np.radians(20))))
    cut = cut_hole(block(200, 200, 40), Hole(5.0, -3.0, 60.0, 11.0, 12.0, 11.5, axis))
    assert cut.removed == pytest.approx(4045.287817, rel=1e-9)


def test_slanting_bore_is_measured_along_its_axis():
    tilt = np.radians(10)
    axis = (0.0, float(np.sin(tilt)), float(np.cos(tilt)))
    figures = measured(block(200, 200, 60), replace(WITH_WASHER, seat=30.0, axis=axis))
    # Under the ring's low side, 15 mm from the axis; columns are 0.5 mm apart.
    assert figures.under_seat.value == pytest.approx(30.0 - 15.0 * np.tan(tilt), abs=0.1)
    assert figures.under_seat.place[2] == pytest.approx(0.0, abs=1e-9)
    assert figures.seat_share.value == 1.0


def test_block_figures():
    figures = measured(block(100, 80, 40), replace(WITH_WASHER, x=10.0, y=5.0))
    assert figures.under_seat.value == pytest.approx(20.0)
    assert figures.seat_share.value == 1.0
    assert figures.at_hole.value == pytest.approx(35.0 - 5.5, abs=0.01)
    assert figures.at_pocket.value == pytest.approx(35.0 - 15.5, abs=0.01)
    assert figures.at_pocket.place[1] == pytest.approx(40.0)
    assert figures.edge.value == pytest.approx(35.0, abs=0.01)
    assert figures.lip_volume.value == 0.0
    assert figures.lowest_edge.value == pytest.approx(40.0)


def test_hollow_back_is_found_under_the_seat():
    hollow = solid_of(block(100, 80, 40).kernel - box((9, 30), (-5, 5), (-1, 11)))
    figures = measured(hollow, WITH_WASHER)
    assert figures.under_seat.value == pytest.approx(9.0)
    assert figures.under_seat.place[2] == pytest.approx(11.0)
    assert 9.0 <= figures.under_seat.place[0] <= 15.0
    # Between the hole's side and the hollow's: 9 - 5.5.
    assert figures.at_hole.value == pytest.approx(3.5, abs=0.02)
    # A hollow is no outer edge.
    assert figures.edge.value == pytest.approx(40.0, abs=0.01)


def test_stock_below_the_finished_back_does_not_count():
    stock = Solid.checked(block(100, 80, 40.5).kernel.translate((0, 0, -0.5)))
    assert measured(stock, WITH_WASHER).under_seat.value == pytest.approx(20.0)
    cut = cut_hole(stock, WITH_WASHER)
    assert cut.removed == pytest.approx(
        pappus([(0, -0.5), (5.5, -0.5), (5.5, 20), (15.5, 20), (15.5, 40), (0, 40)]), rel=1e-7
    )
    assert cut.solid.genus == 1


def test_pocket_that_breaks_out_at_the_side_has_no_whole_seat():
    figures = measured(block(100, 80, 40), replace(WITH_WASHER, x=40.0))
    # The ring 11 to 30 mm round (40, 0) cut off at x = 50: a segment of the outer circle is missing.
    half = np.arccos(10 / 15)
    missing = 15.0**2 * (half - np.sin(half) * np.cos(half))
    assert 1 - figures.seat_share.value == pytest.approx(missing / (np.pi * (15.0**2 - 5.5**2)), abs=0.01)
    assert figures.seat_share.place[0] > 50.0
    assert figures.at_pocket.value < 0.5
    assert figures.edge.value == pytest.approx(10.0, abs=0.01)


def test_overhanging_lip_above_the_pocket():
    lip = solid_of(
        block(100, 80, 40).kernel, box((9.75, 50), (-40, 40), (55, 60)), box((40, 50), (-40, 40), (39, 56))
    )
    figures = measured(lip, WITH_WASHER)
    half = np.arccos(9.75 / 15.5)
    segment = 15.5**2 * (half - np.sin(half) * np.cos(half))
    assert figures.lip_volume.value == pytest.approx(segment * 5.0, rel=0.03)
    assert figures.lip_volume.place[2] == pytest.approx(55.0)
    assert figures.lowest_edge.value == pytest.approx(40.0)


def test_thin_wall_above_the_seat_is_found_but_not_the_run_out_of_a_slope():
    # A waist: 60 wide at the back and the top, 40 between 25 and 45.
    waist = solid_of(
        box((-30, 30), (-30, 30), (0, 25)),
        box((-20, 20), (-20, 20), (24, 46)),
        box((-30, 30), (-30, 30), (45, 70)),
    )
    figures = measured(waist, WITH_WASHER)
    assert figures.at_pocket.value == pytest.approx(20 - 15.5, abs=0.02)
    assert 25 <= figures.at_pocket.place[2] <= 45
    dome = measured(Solid.checked(Manifold.sphere(50.0, 256).trim_by_plane((0, 0, 1), 0.0)), WITH_WASHER)
    # Eight below the pocket's edge at sqrt(50^2 - 15.5^2) = 47.54 the ball is 30.61 in radius; measured on
    # sections 2 mm apart, the last between 0 and 2 mm lower.
    assert 15.0 <= dome.at_pocket.value <= 17.0


def test_a_narrow_ring_of_material_left_by_the_pocket_is_a_sliver_and_dropped():
    # The cap of a mushroom hangs over; the pocket cuts its stem right through, the cap's rim falls off.
    base = CrossSection.circle(40, 128).extrude(20)
    stem = Manifold.cylinder(10.1, 12.0, 12.0, 128).translate((0, 0, 19.95))
    cap = Manifold.cylinder(1.0, 16.0, 16.0, 128).translate((0, 0, 30.0))
    mushroom = solid_of(base, stem, cap)
    cut = cut_hole(mushroom, replace(WITH_WASHER, seat=12.0))
    assert len(cut.slivers) == 1
    assert cut.slivers[0].volume == pytest.approx(np.pi * (16.0**2 - 15.5**2), rel=0.02)
    assert cut.solid.bounds[1, 2] == pytest.approx(20.0)
    assert len(cut.solid.kernel.decompose()) == 1
    bubble = Manifold.sphere(3.0, 64).translate((30.0, 0.0, 10.0))
    hollow = cut_hole(Solid.checked(mushroom.kernel - bubble), replace(WITH_WASHER, seat=12.0))
    assert len(hollow.slivers) == 1
    assert hollow.solid.volume == pytest.approx(cut.solid.volume - bubble.volume()), "cavities stay"


def test_a_piece_too_large_for_a_sliver_is_kept_and_told():
    bar = block(100, 20, 40)
    cut = cut_hole(bar, replace(WITH_WASHER, seat=-0.5))
    halves = sorted(piece.volume() for piece in cut.solid.kernel.decompose())
    assert len(cut.loose) == 1
    assert not cut.slivers
    assert cut.loose[0].volume == pytest.approx(halves[0], rel=1e-6)


def test_pieces_and_cavities_that_were_there_before_stay():
    apart = solid_of(block(100, 80, 40).kernel, box((60, 62), (0, 2), (0, 2)))
    cavity = solid_of(apart.kernel - box((-45, -35), (-5, 5), (10, 20)))
    cut = cut_hole(cavity, WITH_WASHER)
    assert (cut.slivers, cut.loose) == ((), ())
    assert cut.removed == pytest.approx(cut_hole(block(100, 80, 40), WITH_WASHER).removed, rel=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_boulders_stay_solid_and_lose_what_they_share_with_the_cutter(seed):
    rock = boulder(50.0, 0.3, seed)
    rock = Solid.checked(rock.kernel.trim_by_plane((0, 0, 1), -15.0).translate((0, 0, 15.0)))
    shape = replace(WITH_WASHER, x=3.0, y=-2.0)
    cut = cut_hole(rock, shape)
    shared = rock.kernel ^ hole_cutter(shape, -5.0, 200.0).kernel
    assert cut.removed == pytest.approx(float(shared.volume()), rel=1e-6)
    assert cut.solid.volume + cut.removed == pytest.approx(rock.volume)


def test_nothing_to_bore_and_sizes_out_of_order():
    with pytest.raises(GeometryError, match="no material for a hole at x 90"):
        cut_hole(block(), replace(WITH_WASHER, x=90.0))
    with pytest.raises(GeometryError, match="no material for a hole"):
        bolt_seat(site_of(block(), replace(WITH_WASHER, x=90.0)), SeatRule("thickness", 12.0, 13.5))
    with pytest.raises(GeometryError, match="0 < clearance hole < pocket"):
        hole_cutter(replace(BARE, pocket_diameter=10.0), -1.0, 40.0)
    with pytest.raises(GeometryError, match="away from the wall"):
        cut_hole(block(), replace(BARE, axis=(0.0, 0.0, -1.0)))


def test_seat_rules():
    recessed = SeatRule("recessed", 12.0, 13.5)
    # Washer 2.5, head 10 and 1 below the surface leave 44.5 under a seat in a hold 58 high.
    assert seat_heights(recessed, 58.0, 0.0, 58.0) == (44.5, 44.5)
    # Too low for that: the thickness wins, then the whole ring on material.
    assert seat_heights(recessed, 20.0, 0.0, 20.0) == (12.0, 12.0)
    assert seat_heights(recessed, 10.0, 0.0, 14.0) == (12.0, 9.5)
    # Over a hollow 6 mm deep.
    assert seat_heights(SeatRule("thickness", 12.0, 13.5), 40.0, 6.0, 40.0) == (18.0, 18.0)
    depth = SeatRule("depth", 12.0, 13.5, depth=15.0)
    assert seat_heights(depth, 40.0, 0.0, 44.0) == (29.0, 29.0)
    assert seat_heights(depth, 20.0, 0.0, 44.0) == (29.0, 19.5)
    assert seat_heights(depth, 20.0, 8.0, 20.0) == (5.0, 8.5)


def test_seat_where_the_pocket_hangs_in_the_air():
    site = site_of(block(100, 80, 30), replace(WITH_WASHER, x=45.0))
    assert bolt_seat(site, SeatRule("thickness", 12.0, 13.5)) == (12.0, 12.0)


def test_edge_distance_beside_the_base_and_without_one():
    assert edge_distance(block(), 60.0, 0.0).value == pytest.approx(-10.0, abs=0.01)
    flying = Solid.checked(block().kernel.translate((0, 0, 5)))
    assert edge_distance(flying, 0.0, 0.0).value == -np.inf
    # In the ring's hole the outer edge counts.
    assert edge_distance(ring(40.0, 20.0), 0.0, 0.0).value == pytest.approx(40.0, abs=0.02)


def test_countersink_takes_what_pappus_says():
    # ISO 10642 M10: 11 mm through 14, a cone of 90 degrees to 22.4 (5.7 high), 22.4 for 6 more: a profile of
    # 191.795 mm2 at a radius of 4.14242029, so 4991.962452 mm3.
    cut = hole_cutter(Hole(0.0, 0.0, 14.0, 11.0, 22.4, 22.4, cone_angle=90.0), 0.0, 25.7)
    assert cut.volume == pytest.approx(4991.962452, rel=1e-7)
    # 3/8-16 at 82 degrees: a sharp head of 0.781 in over its thread of 0.375 is 0.2335 in high.
    shape = Hole(0.0, 0.0, 14.0, 0.375 * 25.4, 0.781 * 25.4, 0.781 * 25.4, cone_angle=82.0)
    assert shape.cone_height == pytest.approx(0.23352 * 25.4, rel=1e-4)


def test_a_cone_must_end_within_the_cutter():
    with pytest.raises(GeometryError, match="seat within the hold"):
        hole_cutter(Hole(0.0, 0.0, 14.0, 11.0, 22.4, 22.4, cone_angle=90.0), 0.0, 19.0)


def test_a_hole_that_takes_the_whole_hold_says_what_to_try():
    with pytest.raises(GeometryError, match=r"^Nothing is left of the hold .*; take less away, or make"):
        cut_hole(block(4.0, 4.0, 4.0), BARE)
