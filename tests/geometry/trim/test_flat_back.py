import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold

from holdwright.errors import GeometryError
from holdwright.geometry.mesh.boolean import union
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.trim.edge_chamfer import chamfer_back
from holdwright.geometry.trim.flat_back import bottom_face, cut_above, extend_down, levelled
from shapes import block, boulder, frustum, ring, sphere

ELL = [(0, 0), (60, 0), (60, 20), (20, 20), (20, 60), (0, 60)]


def prism(outline, height: float = 10.0) -> Solid:
    return Solid.checked(Manifold.extrude(CrossSection([outline]), height))


def shifted(solid: Solid, x: float, y: float, z: float) -> Solid:
    return solid.moved(placement(shift=np.array([x, y, z])))


def table(*legs: tuple[float, float, float]) -> Solid:
    """A plate 100 x 80 x 10 on square legs 20 high: (x, y, side) each."""
    feet = [shifted(block(side, side, 20.5), x, y, 0.0) for x, y, side in legs]
    return union([shifted(block(100, 80, 10), 0, 0, 20.0), *feet])


def test_a_trimmed_sphere_has_the_volume_and_base_of_its_closed_form():
    """Sphere R 50 cut at z = -20: pi h^2 (3R - h) / 3 with h = 70; base radius sqrt(h (2R - h))."""
    solid, dropped = cut_above(sphere(50.0, 512), -20.0)
    assert dropped == ()
    assert solid.volume == pytest.approx(410501.440069, rel=1e-4)
    face = bottom_face(solid, -20.0)
    assert face.area == pytest.approx(6597.344573, rel=1e-4)
    assert face.centres[0] == pytest.approx([0.0, 0.0], abs=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_the_cut_agrees_with_a_general_library(seed):
    """Beside trimesh: the section's area by shapely, and the volume the cut face closes off."""
    solid = boulder(seed=seed, segments=48, roughness=0.5)
    mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
    section, _ = mesh.section([0, 0, 1], [0, 0, -21.3]).to_2D()
    kept, _ = cut_above(solid, -21.3)
    face = bottom_face(kept, -21.3)
    assert face.area == pytest.approx(section.area, rel=1e-9)
    open_part = mesh.slice_plane([0, 0, -21.3], [0, 0, 1])
    closed = trimesh.Trimesh(open_part.vertices - np.array([0, 0, -21.3]), open_part.faces)
    assert kept.volume == pytest.approx(float(closed.volume), rel=1e-9)  # a cap on z = 0 adds nothing


@settings(deadline=None, max_examples=15)
@given(st.integers(0, 50), st.floats(-35.0, 10.0), st.floats(0.01, 20.0))
def test_the_rim_adds_area_times_height_and_is_upright(seed, z, height):
    cut, _ = cut_above(boulder(seed=seed, segments=32, roughness=0.6), z)
    face = bottom_face(cut, z)
    solid = extend_down(cut, face, z, z - height)
    assert solid.volume == pytest.approx(cut.volume + face.area * height, rel=1e-9)
    assert solid.genus == cut.genus
    assert (solid.bounds[0, 2], solid.bounds[1, 2]) == (z - height, cut.bounds[1, 2])
    below = solid.vertices[solid.vertices[:, 2] < z - 1e-6]
    assert (below[:, 2] == z - height).all()
    walls = solid.area - cut.area
    assert walls == pytest.approx(perimeter(cut, z) * height, rel=1e-9)


def perimeter(solid: Solid, z: float) -> float:
    outlines = solid.kernel.slice(z + 1e-9).to_polygons()
    return sum(float(np.linalg.norm(np.roll(line, -1, axis=0) - line, axis=1).sum()) for line in outlines)


def test_a_ring_keeps_its_hole_down_to_the_back():
    cut, _ = cut_above(ring(40.0, 20.0, 20.0), 5.0)
    face = bottom_face(cut, 5.0)
    solid = extend_down(cut, face, 5.0, 2.0)
    polygon = 64 * np.sin(2 * np.pi / 128)
    assert face.holes == pytest.approx([polygon * 20.0**2], rel=1e-6)
    assert face.islands == pytest.approx([polygon * (40.0**2 - 20.0**2)], rel=1e-6)
    assert solid.genus == 1
    assert solid.volume == pytest.approx(face.area * 18.0, rel=1e-6)


def test_islands_are_told_apart_largest_first_and_specks_get_no_needle():
    cut, _ = cut_above(table((-30, 0, 30), (30, 10, 15), (30, -30, 0.8)), 5.0)
    face = bottom_face(cut, 5.0)
    assert face.islands == pytest.approx([900.0, 225.0, 0.64])
    assert face.centres[1] == pytest.approx([30.0, 10.0])
    solid = extend_down(cut, face.without_specks(1.0), 5.0, 2.0)
    assert solid.volume == pytest.approx(cut.volume + (900.0 + 225.0) * 3.0, rel=1e-12)
    assert bottom_face(solid, 2.0).islands == pytest.approx([900.0, 225.0])


def test_what_the_cut_parts_is_dropped_but_for_the_largest():
    arch = union(
        [block(100, 30, 10), shifted(block(30, 30, 40), -35, 0, 0), shifted(block(20, 30, 25), 40, 0, 0)]
    )
    kept, dropped = cut_above(arch, 15.0)
    assert kept.volume == pytest.approx(30 * 30 * 25)
    assert [piece.volume for piece in dropped] == pytest.approx([20 * 30 * 10])
    assert bottom_face(kept, 15.0).islands == pytest.approx([900.0])


def test_a_solid_without_a_flat_bottom_is_refused():
    with pytest.raises(GeometryError, match="no flat face"):
        bottom_face(frustum(0.0, 20.0, 30.0), 0.0)


def test_levelling_leaves_a_level_face_alone_and_mends_rounding():
    solid = block()
    assert levelled(solid, 0.0) is solid
    vertices = solid.vertices.copy()
    vertices[vertices[:, 2] == 0.0, 2] = 1e-12
    mended = levelled(Solid.from_triangles(vertices, solid.triangles), 0.0)
    assert mended.bounds[0, 2] == 0.0


@pytest.mark.parametrize(
    ("solid", "removed"),
    [
        # per mm of edge leg^2 / 2; each convex corner takes leg^3 / 3 tan(turn / 2) off, each concave adds it
        (block(100, 80, 40), 360 * 2.0 - 4 * 8 / 3),
        (prism(ELL), 240 * 2.0 - (5 - 1) * 8 / 3),
    ],
)
def test_the_back_chamfer_of_square_corners_is_exact(solid, removed):
    cut = chamfer_back(solid, 2.0)
    assert solid.volume - cut.volume == pytest.approx(removed, rel=1e-6)
    assert cut.genus == 0


def test_the_back_chamfer_of_a_disc_is_that_of_its_closed_form():
    """2 x 45 degree chamfer of a disc R 60 by Pappus: 2 pi (R - leg / 3) leg^2 / 2."""
    disc = frustum(60.0, 60.0, 20.0, 512)
    assert disc.volume - chamfer_back(disc, 2.0).volume == pytest.approx(745.604656, rel=1e-3)


def test_the_chamfer_goes_round_holes_too():
    solid = ring(40.0, 20.0, 20.0)
    removed = np.pi * 1.0**2 * ((40.0 - 1 / 3) + (20.0 + 1 / 3))
    cut = chamfer_back(solid, 1.0)
    assert solid.volume - cut.volume == pytest.approx(removed, rel=1e-3)
    assert cut.genus == 1


@pytest.mark.parametrize("seed", range(3))
def test_the_chamfered_back_is_the_outline_drawn_in(seed):
    """Beside GEOS's buffer, through shapely."""
    cut, _ = cut_above(boulder(seed=seed, segments=48, roughness=0.6), -15.0)
    solid = extend_down(cut, bottom_face(cut, -15.0), -15.0, -20.0)
    solid = shifted(solid, 0, 0, 20.0)
    outline = shapely.Polygon(np.asarray(solid.kernel.slice(2.0).to_polygons()[0]))
    known = outline.buffer(-1.5, join_style="mitre").area
    chamfered = levelled(chamfer_back(solid, 1.5), 0.0)
    assert bottom_face(chamfered, 0.0).area == pytest.approx(known, rel=1e-4)
    assert (chamfered.bounds[0, 2]) == 0.0


def test_a_chamfer_that_leaves_nothing_of_an_island_is_refused():
    solid = table((-30, 0, 30), (30, 10, 3))
    with pytest.raises(GeometryError, match="leaves nothing of an outline of 9 mm2"):
        chamfer_back(solid, 2.0)
