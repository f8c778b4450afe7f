"""The rounded mesh stays closed; each edge joins just two triangles, as the 3MF core specification wants."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold, OpType

import finished
import shapes
from holdwright.geometry.mesh.closedness import closedness
from holdwright.geometry.mesh.connectivity import edge_uses
from holdwright.geometry.mesh.single_precision import PrintedMesh, printed_mesh
from holdwright.geometry.mesh.solid import Solid

CUBE = shapes.block(1.0, 1.0, 1.0)


def assert_printable(mesh: PrintedMesh, volume: float, rel: float = 1e-6) -> None:
    found = closedness(mesh.vertices, mesh.triangles)
    assert found.closed, found
    assert found.volume == pytest.approx(volume, rel=rel)
    assert edge_uses(mesh.triangles, len(mesh.vertices))[1].max() == 2
    assert len(np.unique(mesh.triangles)) == len(mesh.vertices)
    assert mesh.vertices.dtype == np.float32


def together(*placed: tuple[Solid, tuple[float, float, float]]) -> tuple[np.ndarray, np.ndarray]:
    vertices, triangles, used = [], [], 0
    for solid, place in placed:
        vertices.append(solid.vertices + np.array(place))
        triangles.append(solid.triangles + used)
        used += len(solid.vertices)
    return np.concatenate(vertices), np.concatenate(triangles)


def test_finished_parts() -> None:
    for solid in finished.split(finished.bored_boulder()).values():
        assert_printable(printed_mesh(solid.vertices, solid.triangles), solid.volume)


@pytest.mark.parametrize(
    "places",
    [
        ((0, 0, 0), (1, 1, 0)),
        ((0, 0, 0), (1, 1, 1)),
        ((0, 0, 0), (1, 0, 0)),
        ((0, 0, 0), (1, 1, 0), (0, 1, 1), (1, 0, 1)),
    ],
)
def test_solids_that_touch(places: tuple[tuple[float, float, float], ...]) -> None:
    vertices, triangles = together(*((CUBE, place) for place in places))
    assert_printable(printed_mesh(vertices, triangles), float(len(places)))


def test_an_edge_whose_leaves_hang_together_at_both_ends() -> None:
    solid = shapes.sphere(20.0, 32)
    vertices, triangles = together((solid, (0, 0, 0)), (solid, (0, 0, 0)))
    mesh = printed_mesh(vertices, triangles)
    assert edge_uses(mesh.triangles, len(mesh.vertices))[1].max() == 2
    assert closedness(mesh.vertices, mesh.triangles).closed


def test_a_fold_of_no_thickness_goes() -> None:
    thin = shapes.block(10.0, 10.0, 1e-7).moved(np.array([[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 5.0]]))
    vertices, triangles = together((CUBE, (0, 0, 0)), (thin, (0, 0, 0)))
    assert_printable(printed_mesh(vertices, triangles), 1.0)


def test_triangles_on_a_line_go() -> None:
    # A cube whose top edge carries a further vertex, met by a triangle of no area on one side.
    points = np.vstack([CUBE.vertices, [0.0, 0.5, 1.0]])
    faces = CUBE.triangles.tolist()
    a = int(np.flatnonzero((CUBE.vertices == [-0.5, 0.5, 1.0]).all(axis=1))[0])
    b = int(np.flatnonzero((CUBE.vertices == [0.5, 0.5, 1.0]).all(axis=1))[0])
    new = len(points) - 1
    halved = next(face for face in faces if {a, b} <= set(face))
    faces.remove(halved)
    for end in (a, b):
        faces.append([new if corner == end else corner for corner in halved])
    turn = halved.index(a)
    ordered = [a, new, b] if halved[(turn + 1) % 3] == b else [b, new, a]
    faces.append([ordered[0], ordered[2], ordered[1]][::1])
    before = closedness(points, np.array(faces))
    assert before.degenerate == 1
    assert before.unbalanced_edges == 0
    mesh = printed_mesh(points, np.array(faces))
    assert_printable(mesh, 1.0)


@settings(deadline=None, max_examples=6)
@given(st.integers(0, 10_000))
def test_heaps_far_from_the_origin_stay_closed(seed: int) -> None:
    """At 1e5 mm single precision has steps of 0.008 mm: many vertices fall together."""
    draw = np.random.default_rng(seed)
    lumps = [
        Manifold.sphere(draw.uniform(4, 12), 48).translate(tuple(draw.normal(0, 12, 3))) for _ in range(12)
    ]
    solid = Solid.checked(Manifold.batch_boolean(lumps, OpType.Add))
    mesh = printed_mesh(solid.vertices + np.array([1e5, -1e5, 1e5]), solid.triangles)
    found = closedness(mesh.vertices, mesh.triangles)
    assert found.closed
    assert edge_uses(mesh.triangles, len(mesh.vertices))[1].max() == 2
    assert found.volume == pytest.approx(solid.volume, rel=1e-3)
