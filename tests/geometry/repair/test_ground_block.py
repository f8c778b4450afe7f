import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.ground_block import (
    as_slab,
    ground_blocks,
    may_be_ground,
    smallest_rectangle,
)
from shapes import block, boulder, sphere

LIFT = placement(shift=np.array([0.0, 0.0, 45.0]))


def test_a_slab_under_a_boulder_is_its_ground_block():
    slab = block(140, 150, 8)
    (found,) = ground_blocks([boulder().moved(LIFT), slab])
    assert found.index == 1
    assert found.normal == pytest.approx([0, 0, 1], abs=1e-9)
    assert found.point[2] == pytest.approx(8)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10_000), square=st.booleans())
def test_turning_the_lot_changes_nothing(seed, square):
    turn = placement(linear=Rotation.random(random_state=seed).as_matrix())
    slab = block(150, 150 if square else 190, 10)
    (found,) = ground_blocks([slab.moved(turn), boulder().moved(turn @ LIFT)])
    assert found.index == 0
    assert found.normal == pytest.approx(turn[:3, 2], abs=1e-6)


@pytest.mark.parametrize(
    ("what", "piece"),
    [
        ("too thick", block(140, 140, 40)),
        ("too small a footprint", block(70, 70, 5)),
        ("no box", sphere(80).moved(placement(linear=np.diag([1.0, 1.0, 0.1])))),
    ],
)
def test_what_is_no_ground_block_stays(what, piece):
    assert ground_blocks([boulder().moved(LIFT), piece]) == ()


def test_the_only_piece_is_never_a_ground_block():
    assert ground_blocks([block(100, 100, 5)]) == ()


def test_of_two_slabs_alone_one_stays():
    two = [block(100, 100, 5), block(100, 100, 5).moved(placement(shift=np.array([0, 0, 20.0])))]
    assert len(ground_blocks(two)) == 1


def test_a_slab_must_fill_98_percent_of_its_box():
    assert as_slab(block(100, 100, 10)) is not None
    bitten = block(100, 100, 10).kernel - block(30, 30, 30).kernel.translate((40, 40, -5))
    from holdwright.geometry.mesh.solid import Solid

    assert as_slab(Solid.checked(bitten)) is None


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), count=st.integers(3, 60))
def test_the_smallest_rectangle_agrees_with_shapely(seed, count):
    """shapely.minimum_rotated_rectangle (GEOS) as the outside opinion."""
    points = np.random.default_rng(seed).normal(size=(count, 2)) * [3.0, 1.0]
    other = shapely.oriented_envelope(shapely.MultiPoint(points))
    assert shapely.Polygon(smallest_rectangle(points)).area == pytest.approx(other.area, rel=1e-6)


def test_a_surface_as_it_came_is_told_from_lumps_sheets_and_open_boxes():
    slab, lump = block(900.0, 900.0, 20.0).mesh, block(40.0, 40.0, 40.0).mesh
    assert may_be_ground(slab)
    assert may_be_ground(slab.flipped()), "whichever way it is wound"
    assert not may_be_ground(lump)
    assert not may_be_ground(Mesh(slab.vertices, slab.triangles[1:]))
    assert not may_be_ground(Mesh(slab.vertices * [1.0, 1.0, 0.0], slab.triangles))
    assert not may_be_ground(Mesh(slab.vertices[:0], slab.triangles[:0]))
