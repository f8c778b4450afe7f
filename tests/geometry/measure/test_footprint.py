import numpy as np
import pytest
from shapely import Polygon

from holdwright.geometry.measure.footprint import DETAIL, footprint
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.mesh import Mesh
from shapes import block, sphere


def mesh(solid, x: float = 0.0) -> Mesh:
    return Mesh(solid.vertices + np.array([x, 0.0, 0.0]), solid.triangles)


def test_a_ball_covers_a_disc_and_nothing_sticks_out():
    solid = sphere()
    outline = Polygon(footprint([mesh(solid)]))
    corners = solid.vertices[:, :2]
    hull = Polygon(corners[np.argsort(np.arctan2(corners[:, 1], corners[:, 0]))]).convex_hull  # by shapely
    assert outline.buffer(1e-9).contains(hull)
    assert outline.area == pytest.approx(hull.area, rel=2.5 * DETAIL / np.sqrt(hull.area))


def test_hollows_stay_hollow_and_what_lies_apart_is_spanned():
    post = block(20.0, 20.0, 20.0).moved(placement(shift=np.array([40.0, 60.0, 0.0])))
    joined = footprint([mesh(block(100.0, 100.0, 20.0)), mesh(post)])
    assert Polygon(joined).area == pytest.approx(100.0 * 100.0 + 20.0 * 20.0, rel=0.02)
    apart = footprint([mesh(block(20.0, 20.0, 20.0)), mesh(block(20.0, 20.0, 20.0), 50.0)])
    assert Polygon(apart).area == pytest.approx(70.0 * 20.0, rel=0.02)
