"""Sharp edges beside roundings of known radius."""

import numpy as np
import pytest
from manifold3d import CrossSection, JoinType, Manifold

from holdwright.geometry.measure.edge_radius import sharp_places
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder, frustum


def rounded(radius: float, segments: int = 64) -> Solid:
    """A plate 100 x 80 x 20 mm whose four upright edges are rounded."""
    inner = CrossSection.square((100.0 - 2 * radius, 80.0 - 2 * radius), True)
    outline = inner.offset(radius, JoinType.Round, circular_segments=segments)
    return Solid.checked(Manifold.extrude(outline, 20.0))


def upright(places):
    return places.chosen((places.points[:, 2] > 1.0) & (places.points[:, 2] < 19.0))


def prism(turn: float) -> Solid:
    """A wedge along z whose edge on the z axis turns by so many degrees."""
    half = np.radians(180.0 - turn) / 2.0
    outline = 50.0 * np.array([[0, 0], [np.cos(half), -np.sin(half)], [np.cos(half), np.sin(half)]])
    return Solid.checked(Manifold.extrude(CrossSection([outline]), 20.0))


def test_all_edges_of_a_block_are_sharp():
    found = sharp_places(block(100.0, 80.0, 40.0).mesh, 1.0)
    assert found.length.sum() == pytest.approx(4 * (100 + 80 + 40), rel=0.01)
    # A right angle turns by pi / 2 within a ball of 0.5 mm as a rounding of 0.5 mm does.
    assert np.median(found.radius) == pytest.approx(0.5)
    (only,) = found.stretches(1.0)
    assert len(only.points) == len(found.points)


@pytest.mark.parametrize("segments", [32, 64, 128])
def test_a_rounding_just_fails_and_just_passes(segments):
    failed = upright(sharp_places(rounded(0.9, segments).mesh, 1.0))
    assert np.median(failed.radius) == pytest.approx(0.9, rel=0.05)
    assert failed.length.sum() == pytest.approx(4 * 18.0, rel=0.35)
    assert len(failed.stretches(1.0)) == 4
    assert not len(upright(sharp_places(rounded(1.1, segments).mesh, 1.0)).points)
    assert not len(upright(sharp_places(rounded(0.6, segments).mesh, 0.5)).points)


@pytest.mark.parametrize(("turn", "sharp"), [(40.0, False), (50.0, True), (120.0, True)])
def test_an_edge_counts_from_45_degrees_of_turn(turn, sharp):
    found = upright(sharp_places(prism(turn).mesh, 1.0))
    along = np.hypot(*found.points[:, :2].T) < 0.1
    assert along.any() == sharp
    if sharp:
        assert found.length[along].sum() == pytest.approx(18.0, rel=0.05)
        assert np.median(found.radius[along]) == pytest.approx(np.pi * 0.25 / np.radians(turn), rel=0.02)


def test_inward_edges_and_smooth_and_rough_surfaces_are_not_sharp():
    notched = Solid.checked(
        block(100, 80, 40).kernel - Manifold.cube((20, 100, 20), True).translate((0, 0, 40))
    )
    found = sharp_places(notched.mesh, 1.0).points
    assert not (
        (np.abs(found[:, 0]) < 10.5) & (np.abs(found[:, 2] - 30.0) < 0.5) & (np.abs(found[:, 1]) < 39)
    ).any()
    assert not len(sharp_places(boulder().mesh, 1.0).points)
    noise = np.random.default_rng(0).normal(size=20_000)
    ball = boulder(segments=160)
    rough = Solid.checked(
        ball.kernel.warp_batch(lambda points: points * (1.0 + 0.0005 * noise[: len(points), None]))
    )
    assert sharp_places(rough.mesh, 1.0).length.sum() < 1.0


def test_the_point_of_a_cone_is_found():
    found = sharp_places(frustum(30.0, 0.0, 60.0).mesh, 1.0)
    tip = found.points[found.points[:, 2] > 58.0]
    assert len(tip)
    assert tip[:, 2].max() == pytest.approx(60.0, abs=0.5)
