import numpy as np
import pytest
from manifold3d import Error, Manifold

from damage import tube
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import kernel_of, mesh_of
from holdwright.geometry.repair import triangle_crossings
from holdwright.geometry.repair.fuse import survey
from holdwright.geometry.repair.mesh_arrangement import boundary
from sculpts import sculpt
from shapes import sphere


def cube(size, place):
    return mesh_of(Manifold.cube(size, True).translate(place))


def solid_volume(surface):
    """Volume by the kernel, of a surface whose every edge is used once each way."""
    _, uses, forward = surface.edges
    assert (uses == 2).all()
    assert (forward == 1).all()
    kernel = kernel_of(surface)
    assert kernel.status() == Error.NoError
    assert kernel.volume() == pytest.approx(surface.volume, rel=1e-6)
    return surface.volume


def test_a_surface_that_does_not_cross_itself_stays_the_same():
    ball = sphere(10.0, 32).mesh
    assert boundary(ball) is ball


@pytest.mark.parametrize("place", [(6.0, 5.0, 4.0), (0.0, 0.0, 7.0), (5.0, 0.0, 0.0)])
def test_two_cubes_that_overlap_become_one(place):
    """The second pokes through one face from within; the third has faces in common planes."""
    both = Mesh.joined([cube((10.0, 10.0, 10.0), (0.0, 0.0, 0.0)), cube((5.0, 5.0, 8.0), place)])
    shared = np.prod(
        [
            max(0.0, min(5.0, at + half) - max(-5.0, at - half))
            for at, half in zip(place, (2.5, 2.5, 4.0), strict=True)
        ]
    )
    assert solid_volume(boundary(both)) == pytest.approx(1000.0 + 200.0 - shared, rel=1e-6)


def test_where_three_bars_cross_is_counted_once():
    bars = [
        cube(size, (0.1, 0.2, 0.3)) for size in ((30.0, 10.0, 10.0), (10.0, 30.0, 10.0), (10.0, 10.0, 30.0))
    ]
    assert solid_volume(boundary(Mesh.joined(bars))) == pytest.approx(7 * 1000.0, rel=1e-6)


def test_what_is_wound_round_backward_is_enclosed_and_what_cancels_out_is_not():
    parts = [cube((10.0, 10.0, 10.0), (0.0, 0.0, 0.0)), cube((4.0, 4.0, 4.0), (5.0, 0.1, 0.2)).flipped()]
    assert solid_volume(boundary(Mesh.joined(parts))) == pytest.approx(1000.0 + 64.0 - 2 * 32.0, rel=1e-6)


def test_a_tube_that_loops_through_itself_has_no_overlap_left():
    turn = np.linspace(0.0, 3.0 * np.pi, 150)
    coil = tube(np.stack([30 * np.cos(turn), 30 * np.sin(turn), 0.7 * turn], axis=1), 6.0)
    surface = Mesh(coil.vertices, coil.triangles)
    union = boundary(surface)
    kept = union.vertices[np.isin(union.vertices, surface.vertices).all(axis=1)]
    assert solid_volume(union) < 0.85 * surface.volume
    assert len(kept) > 0.6 * len(surface.vertices)


def test_a_surface_with_too_many_crossings_is_left_to_others(monkeypatch):
    monkeypatch.setattr(triangle_crossings, "_MOST_PAIRS", 10)
    assert boundary(sphere(10.0, 32).mesh) is None
    turn = np.linspace(0.0, 3.0 * np.pi, 150)
    coil = tube(np.stack([30 * np.cos(turn), 30 * np.sin(turn), 0.7 * turn], axis=1), 6.0)
    (piece,) = survey(sculpt(coil)).pieces
    assert piece.grade == "rebuilt"
    assert piece.solid.volume == pytest.approx(piece.mending.counted, rel=0.01)
    assert 0.0 < piece.mending.added.largest < 1.5 * piece.mending.voxel
