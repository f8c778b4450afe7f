"""Tips of holds too large for one lattice: as on a small hold, and where a large one is sharp."""

import numpy as np
import pytest
from manifold3d import Manifold

from holdwright.geometry.mesh.frame import placement, scaling
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.tips import tip_search as searching
from holdwright.geometry.tips.sharp_regions import sharp_boxes
from holdwright.geometry.tips.tip_search import TipSearch
from shapes import block, boulder, sphere
from tipped import cone, ear, plate, roof, rounded_cone, standing


def shown(search: TipSearch):
    tips, edges = search.found()
    return [(*tip.place, tip.angle) for tip in tips], [edge.length for edge in edges]


@pytest.mark.parametrize(
    "solid",
    [
        standing(
            (cone(50.0), -20.0, 5.0, 30.0),
            (cone(12.0, 35.0), 25.0, 25.0, 40.0),
            (rounded_cone(40.0, 0.8), -15.0, -25.0, 28.0),
            (ear(), 20.0, -20.0, 33.0),
        ),
        standing(on=plate() + roof(40.0, 36.0, 15.0).translate((0.0, 0.0, 8.0))),
        block(),
        boulder(),
    ],
    ids=["four tips", "ridge", "block", "boulder"],
)
def test_in_parts_the_same_is_found_as_at_once(monkeypatch, solid):
    tips, edges = shown(TipSearch(solid))
    monkeypatch.setattr(searching, "COARSEST", 0.0)
    in_parts = TipSearch(solid)
    assert in_parts.left_out() == 0.0
    tips_in_parts, edges_in_parts = shown(in_parts)
    np.testing.assert_allclose(np.array(tips_in_parts), np.array(tips), atol=0.3)
    assert edges_in_parts == pytest.approx(edges, abs=2.5)


@pytest.mark.parametrize("size", [1000.0, 5000.0])
def test_small_and_large_tips_of_a_large_hold_are_found(size):
    """A hold metres across with a small cone on it, and a cone as large as the hold."""
    large = cone(50.0, 0.4 * size).translate((0.2 * size, 0.0, 0.5 * size))
    small = cone(60.0).translate((-0.25 * size, 0.1 * size, 0.1 * size + 15.0))
    solid = Solid.checked(Manifold.cylinder(0.1 * size, size / 2, size / 2, 128) + large + small)
    tips, edges = TipSearch(solid).found(75.0)
    assert edges == ()
    assert [tip.place.round(3).tolist() for tip in tips] == [
        [-0.25 * size, 0.1 * size, 0.1 * size + 15.0],
        [0.2 * size, 0.0, 0.5 * size],
    ]
    assert [tip.angle for tip in tips] == pytest.approx([60.0, 50.0], abs=1.5)
    picked = TipSearch(solid).near(np.array([0.2 * size, 0.0, 0.5 * size - 1.0]))
    assert picked.place == pytest.approx(tips[1].place)


def test_a_large_ball_has_no_tips_and_shares_that_are_numbers():
    solid = sphere(2500.0, 256).moved(placement(shift=np.array([0.0, 0.0, 2000.0])))
    tips, edges = TipSearch(solid).found(75.0)
    assert (tips, edges) == ((), ())
    assert TipSearch(solid).near(np.array([0.0, 0.0, 4500.0])).ball_fraction == pytest.approx(0.5, abs=0.02)


def test_only_where_a_surface_turns_are_boxes_left():
    """Of a block 12 m long the boxes left are those along its edges, and few are at its corners alone."""
    solid = block(100.0, 80.0, 40.0).moved(scaling(120.0))
    vertices, triangles = solid.vertices, solid.triangles
    assert len(sharp_boxes(Mesh(vertices, triangles), 32.0, 4.0, 60.0).cells) <= 8 * 8
    edges = sharp_boxes(Mesh(vertices, triangles), 32.0, 4.0, 40.0)
    assert 4 * 220 * 120 / 32 <= len(edges.cells) < 4 * 4 * 220 * 120 / 32
    assert len(sharp_boxes(sphere(500.0).mesh, 32.0, 4.0, 45.0).cells) == 0
