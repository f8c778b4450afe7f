"""Tips found, against the closed form of a ball's share in a cone and of a lens of two balls."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold

from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.tips.apex import Closeup
from holdwright.geometry.tips.ball_fraction import cone_angle, cone_fraction
from holdwright.geometry.tips.tip_search import TipSearch
from shapes import block, boulder, sphere
from tipped import cone, ear, find_tips, plate, roof, rounded_cone, sideways, standing


@pytest.mark.parametrize("angle", [15.0, 30.0, 60.0, 80.0])
@pytest.mark.parametrize("segments", [24, 200])
def test_a_cone_on_a_plate_is_found_with_its_angle(angle, segments):
    solid = standing((cone(angle, segments=segments), 7.0, -4.0, 29.0))
    (tip,) = find_tips(solid)
    np.testing.assert_allclose(tip.place, [7.0, -4.0, 29.0], atol=1e-9)
    assert tip.axis @ [0, 0, 1] > math.cos(math.radians(2.0))
    assert tip.ball_fraction == pytest.approx(cone_fraction(angle), rel=0.03)
    assert tip.angle == pytest.approx(angle, abs=1.5)
    assert not tip.low


def test_cones_blunter_than_the_limit_are_left():
    solid = standing((cone(100.0, 15.0), 0.0, 0.0, 22.0))
    assert find_tips(solid) == ()
    assert find_tips(solid, limit=110.0)[0].angle == pytest.approx(100.0, abs=1.5)


def test_shares_agree_with_closed_forms():
    """Cone: solid angle 2 pi (1 - cos(a/2)). Ball: lens of two equal balls a radius apart, 5/16 of one."""
    assert cone_fraction(60.0) == pytest.approx(0.0669873, abs=1e-7)
    assert cone_fraction(180.0) == pytest.approx(0.5)
    for angle in (10.0, 60.0, 179.0):
        assert cone_angle(cone_fraction(angle)) == pytest.approx(angle)
    ball = sphere(4.0, 256)
    share, middle, inner = Closeup(ball.mesh, 4.0, None).measure(np.array([4.0, 0.0, 0.0]))
    assert share == pytest.approx(5.0 / 16.0, rel=0.01)
    # the lens is alike on both sides of its middle
    assert middle == pytest.approx([2.0, 0.0, 0.0], abs=0.02)
    assert inner[0] > 2.9


@pytest.mark.parametrize(
    ("angle", "radius", "found"), [(60.0, 0.5, True), (60.0, 2.5, False), (30.0, 1.0, True)]
)
def test_a_rounded_tip_counts_while_it_is_sharp_at_the_size_of_the_ball(angle, radius, found):
    solid = standing((rounded_cone(angle, radius), 0.0, 0.0, 29.0))
    tips = find_tips(solid)
    assert bool(tips) is found
    if found:
        # outside: the kernel's exact volume of the part of a finely cut ball
        ball = Manifold.sphere(4.0, 128).translate(tuple(tips[0].place))
        assert tips[0].ball_fraction == pytest.approx(
            (solid.kernel ^ ball).volume() / ball.volume(), rel=0.03
        )
        assert tips[0].place[2] == pytest.approx(29.0, abs=0.05)


def test_the_same_tips_on_a_coarse_and_a_fine_mesh():
    coarse = standing(
        (cone(50.0, segments=24), 20.0, 5.0, 30.0),
        (rounded_cone(40.0, 0.8, segments=24), -15.0, 12.0, 28.0),
        (ear(), 0.0, -20.0, 33.0),
    )
    fine = Solid.checked(coarse.kernel.refine_to_length(0.8))
    assert fine.triangle_count > 10 * coarse.triangle_count
    few, many = find_tips(coarse), find_tips(fine)
    assert len(few) == len(many) == 3
    for one, other in zip(few, many, strict=True):
        np.testing.assert_allclose(one.place, other.place, atol=0.05)
        assert one.angle == pytest.approx(other.angle, abs=1.5)
        assert one.axis @ other.axis > math.cos(math.radians(4.0))


@pytest.mark.parametrize("angle", [20.0, 40.0, 60.0])
def test_a_roof_is_a_sharp_edge_and_no_tip(angle):
    solid = Solid.checked(plate() + roof(angle).rotate((0, 0, 20)).translate((0, 0, 9)))
    tips, edges = TipSearch(solid).found()
    assert tips == ()
    assert edges
    if angle < 50.0:
        assert edges[0].length == pytest.approx(60.0, abs=5.0)
        assert edges[0].place[2] == pytest.approx(39.0, abs=0.5)


def test_the_point_of_an_ear_with_sharp_sides_is_a_tip():
    solid = standing((ear(thick=6.0), 0.0, 10.0, 34.0))
    tips, edges = TipSearch(solid).found()
    (tip,) = tips
    np.testing.assert_allclose(tip.place, [0.0, 10.0, 34.0], atol=1e-9)
    assert edges
    assert all(edge.length > 8.0 for edge in edges)


@pytest.mark.parametrize("radius", [0.25, 1.0, 1.5])
def test_a_needle_is_one_tip_at_its_end(radius):
    solid = standing((Manifold.cylinder(30, radius, radius, 24), 5.3, 6.1, 5.0))
    tips, edges = TipSearch(solid).found()
    assert edges == ()
    (tip,) = tips
    assert tip.place[2] == pytest.approx(35.0)
    assert tip.axis[2] > math.cos(math.radians(2.0))


def test_bodies_without_tips_have_none():
    assert find_tips(boulder()) == ()
    assert find_tips(sphere(30.0)) == ()
    assert find_tips(Solid.checked(plate())) == ()
    assert find_tips(block(), limit=75.0) == ()


def test_the_corners_of_a_box_off_the_wall_count_as_cones_of_83_degrees():
    """A right-angled corner fills an eighth: 2 acos(1 - 2/8) = 82.8 degrees. On the wall there are none."""
    tips = find_tips(block())
    assert len(tips) == 4
    for tip in tips:
        assert tip.place[2] == pytest.approx(40.0)
        assert tip.angle == pytest.approx(82.82, abs=0.7)


def test_the_rim_at_the_wall_is_no_tip_but_is_one_in_free_space():
    solid = block(80.0, 70.0, 25.0)
    assert [round(float(tip.place[2])) for tip in find_tips(solid)] == [25] * 4
    assert [round(float(tip.place[2])) for tip in find_tips(solid, back=None)] == [0] * 4 + [25] * 4


@pytest.mark.parametrize("turn", [0.0, 31.7, 50.0])
def test_square_ends_of_sharp_upright_edges_are_no_tips(turn):
    azimuths = np.radians([turn, turn + 120.0, turn + 240.0])
    corners = [(30.0 * math.cos(azimuth), 30.0 * math.sin(azimuth)) for azimuth in azimuths]
    solid = Solid.checked(Manifold.extrude(CrossSection([corners]), 25.0))
    tips, edges = TipSearch(solid).found()
    assert tips == ()
    assert [round(float(edge.place[2])) for edge in edges] == [25] * 3


@pytest.mark.parametrize("z", [0.0, 3.0, 12.0])
def test_a_spike_low_on_the_hold_is_found(z):
    solid = (
        sideways(40.0, 70.0, z)
        if z
        else Solid.checked(
            (plate() + cone(50.0, 35.0).rotate((0, 90, 0)).translate((70, 0, 0))).trim_by_plane((0, 0, 1), 0)
        )
    )
    (tip,) = find_tips(solid)
    assert tip.low
    assert tip.place == pytest.approx([70.0, 0.0, z], abs=1e-6)
    assert np.degrees(math.atan2(tip.axis[1], tip.axis[0])) == pytest.approx(0.0, abs=4.0)


def test_sanding_stock_below_the_back_changes_nothing():
    solid = sideways(40.0, 70.0, 3.0)
    outline = solid.kernel.slice(0.001)
    stocked = Solid.checked(solid.kernel + Manifold.extrude(outline, 2.0).translate((0, 0, -2.0)))
    (tip,) = find_tips(solid)
    (same,) = find_tips(stocked)
    np.testing.assert_allclose(tip.place, same.place, atol=0.01)
    assert tip.angle == pytest.approx(same.angle, abs=1.0)


@settings(max_examples=6, deadline=None)
@given(st.floats(0.0, 2 * math.pi))
def test_tips_turn_with_the_hold(turn):
    solid = standing((cone(55.0, segments=40), 20.0, 5.0, 30.0), (ear(), -10.0, -10.0, 33.0))
    matrix = np.eye(4)
    matrix[:2, :2] = [[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]]
    before, after = find_tips(solid), find_tips(solid.moved(matrix))
    assert len(before) == len(after) == 2
    for one, other in zip(before, after, strict=True):
        np.testing.assert_allclose(matrix[:3, :3] @ one.place, other.place, atol=1e-6)
        assert (matrix[:3, :3] @ one.axis) @ other.axis > math.cos(math.radians(3.0))
        # The lattice's own error: over 24 turns the smaller share, 0.0133 of the ball, spreads by 0.0005
        # (over 120 by 0.0008), and by 0.00002 about the same mean where the lattice is twice as fine.
        assert one.ball_fraction == pytest.approx(other.ball_fraction, abs=0.001)


def test_a_picked_tip_may_be_blunt_and_need_not_be_hit_exactly():
    solid = standing((cone(110.0, 12.0), 0.0, 0.0, 20.0), (cone(50.0), 25.0, 0.0, 30.0))
    search = TipSearch(solid)
    np.testing.assert_allclose(search.near(np.array([2.0, 1.0, 18.6])).place, [0, 0, 20.0], atol=1e-9)
    np.testing.assert_allclose(search.near(np.array([25.4, 0.0, 28.5])).place, [25.0, 0, 30.0], atol=1e-9)
    assert search.near(np.array([-30.0, 0.0, 10.0])).ball_fraction == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize("apart", [6.0, 8.0, 11.0])
def test_tips_close_together_are_told_apart(apart):
    solid = standing((cone(40.0, segments=48), 0.0, 0.0, 30.0), (cone(40.0, segments=48), apart, 0.0, 30.5))
    tips = find_tips(solid)
    assert [tuple(np.round(tip.place, 6)) for tip in tips] == [(0.0, 0.0, 30.0), (apart, 0.0, 30.5)]


def test_both_corners_of_a_narrow_wall_are_judged_alike():
    tips = find_tips(Solid.checked(Manifold.cube((120.0, 7.8, 60.0), True).translate((0, 0, 30))))
    assert sorted(tuple(np.round(tip.place, 6)) for tip in tips) == [
        (x, y, 60.0) for x in (-60.0, 60.0) for y in (-3.9, 3.9)
    ]


def test_the_order_is_by_height_and_then_round_the_axis():
    solid = standing(*[(cone(50.0), 20 * math.cos(a), 20 * math.sin(a), 29.0) for a in (2.0, -1.0, 0.5)])
    azimuths = [math.atan2(tip.place[1], tip.place[0]) for tip in find_tips(solid)]
    assert azimuths == sorted(azimuths)
    assert len(azimuths) == 3
