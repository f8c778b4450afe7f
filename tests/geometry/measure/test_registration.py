import numpy as np
import pytest
from manifold3d import Manifold
from scipy.spatial.transform import Rotation

from holdwright.errors import GeometryError
from holdwright.geometry.measure.registration import MEETS, register
from holdwright.geometry.measure.shape_points import ShapePoints, shape_points
from holdwright.geometry.mesh.frame import move_points, placement
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder, sphere


def moved_by(degrees: float, scale: float = 1.0, shift=(40.0, -25.0, 60.0)) -> np.ndarray:
    turn = Rotation.from_rotvec(np.radians(degrees) * np.array([2.0, -1.0, 2.0]) / 3.0)
    return placement(turn.as_matrix() * scale, np.array(shift))


def told_anew(surface: Mesh) -> Mesh:
    """Give a surface with its triangles in another order, so that no point drawn from it is drawn again."""
    order = np.random.default_rng(5).permutation(len(surface.triangles))
    return Mesh(surface.vertices, np.roll(surface.triangles[order], 1, axis=1))


def left_off(found, motion: np.ndarray, surface: Mesh) -> float:
    """Give how far the farthest vertex is from where it was before it was moved and brought back."""
    there = move_points(found.placement @ motion, surface.vertices)
    return float(np.linalg.norm(there - surface.vertices, axis=1).max())


def horned(seed: int = 1, at=(40.0, 20.0, 10.0), size: float = 15.0) -> Mesh:
    """A lump with a ball let into its side."""
    ball = sphere(size, 48)
    return Solid.checked(boulder(60.0, 0.3, seed).kernel + ball.kernel.translate(at)).mesh


@pytest.mark.parametrize(
    ("degrees", "scale"), [(0.0, 1.0), (4.0, 1.0), (35.0, 1.25), (90.0, 1.0), (180.0, 0.6), (137.0, 40.0)]
)
def test_a_moved_turned_and_rescaled_sculpt_is_brought_back(degrees, scale):
    old, motion = horned(), moved_by(degrees, scale)
    found = register(shape_points(old), told_anew(old).moved(motion))
    assert left_off(found, motion, old) < 1e-3
    assert found.scaled == pytest.approx(scale, rel=1e-5)
    assert found.turned == pytest.approx(degrees, abs=1e-3)
    middle = shape_points(old).middle
    assert found.moved == pytest.approx(np.linalg.norm(move_points(motion, middle) - middle), abs=1e-3)
    assert found.is_same
    assert found.meeting > 0.95
    assert found.rival is None
    assert not found.at_rest


def test_what_was_not_moved_lies_where_it_lay_to_the_last_bit():
    old = horned()
    found = register(shape_points(old), told_anew(old))
    assert found.at_rest
    assert (found.placement == np.eye(4)).all()
    assert (found.moved, found.turned, found.scaled) == (0.0, 0.0, 1.0)


def test_a_reworked_sculpt_that_was_not_moved_lies_where_it_lay():
    old, new = horned(), horned(at=(10.0, 62.0, 10.0), size=25.0)
    found = register(shape_points(old), new)
    assert found.at_rest
    assert 0.5 < found.meeting < 0.95


@pytest.mark.parametrize("degrees", [6.0, 120.0])
def test_a_reworked_sculpt_is_brought_back_by_what_stayed(degrees):
    old, new, motion = horned(), horned(at=(10.0, 62.0, 10.0), size=25.0), moved_by(degrees)
    found = register(shape_points(old), new.moved(motion))
    assert left_off(found, motion, old) < 0.05
    assert found.scaled == pytest.approx(1.0, abs=1e-12)
    assert found.is_same


def test_of_ways_to_lay_a_symmetrical_shape_the_least_motion_is_taken_and_the_others_told():
    old, motion = block(100.0, 80.0, 40.0).mesh, moved_by(20.0)
    found = register(shape_points(old), told_anew(old).moved(motion))
    assert found.turned == pytest.approx(20.0, abs=0.01)
    assert left_off(found, motion, old) < 1e-2
    assert found.rival == pytest.approx(180.0, abs=1.0)


def test_a_ball_is_laid_on_a_ball_without_being_turned_far():
    old = sphere(50.0, 64).mesh
    found = register(shape_points(old), old.moved(placement(shift=np.array([5.0, 0.0, 0.0]))))
    assert found.moved == pytest.approx(5.0, abs=0.05)
    assert found.scaled == pytest.approx(1.0, abs=1e-3)


def test_another_sculpt_altogether_is_not_the_same():
    found = register(shape_points(horned()), block(150.0, 40.0, 20.0).mesh)
    assert not found.is_same


def test_a_loose_soup_much_reworked_is_found_by_a_second_wider_search():
    """Of a hundred loose triangles those at one side are drawn out: the first search lays it wrong."""
    chance, cut = np.random.default_rng(1), 15.0
    old = Mesh.of_corners(chance.uniform(-50.0, 50.0, (100, 1, 3)) + chance.normal(0.0, 6.0, (100, 3, 3)))
    places = np.where(old.vertices[:, :1] > cut, 1.2, 1.0) * old.vertices
    motion = placement(1.3 * Rotation.random(random_state=1).as_matrix(), np.array([30.0, -20.0, 50.0]))
    found = register(shape_points(old, 1200), Mesh(places, old.triangles).moved(motion))
    assert found.is_same
    assert found.scaled == pytest.approx(1.3, rel=1e-3)
    stayed = old.vertices[old.vertices[:, 0] <= cut]
    off = move_points(found.placement @ motion, stayed) - stayed
    assert np.linalg.norm(off, axis=1).max() < 0.5


def test_how_much_meets_is_told():
    """Of two balls on a plate one is moved: its whole surface meets no longer."""
    plate = block(200.0, 200.0, 10.0).kernel
    here, there = (
        Solid.checked(plate + sphere(30.0, 64).kernel.translate((x, 20.0, 30.0))) for x in (-60.0, 50.0)
    )
    marks = sphere(8.0, 32).kernel.translate((70.0, -80.0, 10.0))
    old, new = (Solid.checked(each.kernel + marks).mesh for each in (here, there))
    found = register(shape_points(old), new)
    assert found.at_rest
    assert MEETS < 1.0 - found.meeting == pytest.approx(4 * np.pi * 30.0**2 * 0.8 / old.area, rel=0.4)


def test_a_point_or_a_sheet_of_no_area_is_refused():
    point = ShapePoints(np.zeros((5, 3)), np.zeros((5, 3)))
    with pytest.raises(GeometryError, match="without any surface"):
        register(point, horned())
    flat = Mesh(np.zeros((3, 3)), np.array([[0, 1, 2]]))
    with pytest.raises(GeometryError, match="without any surface"):
        register(shape_points(horned()), flat)


@pytest.mark.parametrize(
    "round_shape",
    [
        sphere(50.0, 64),
        Solid.checked(Manifold.cylinder(60.0, 50.0, 20.0, 96)),
        Solid.checked(sphere(50.0, 64).kernel.trim_by_plane((0.0, 0.0, 1.0), 10.0)),
    ],
)
@pytest.mark.parametrize("degrees", [3.0, 20.0])
def test_the_turn_of_a_round_shape_is_undecided_and_the_least_is_taken(round_shape, degrees):
    """The axis is tilted by a known angle; about it the shape turns on itself, so no turn is needed."""
    old, motion = round_shape.mesh, moved_by(degrees)
    found = register(shape_points(old), told_anew(old).moved(motion))
    assert found.undecided
    tilt = np.degrees(np.arccos(motion[2, 2]))
    ball = np.ptp(round_shape.size) < 0.5
    assert found.turned == pytest.approx(0.0 if ball else tilt, abs=0.3)
    assert found.is_same


def test_a_shape_with_a_mark_is_not_round():
    found = register(shape_points(horned()), told_anew(horned()).moved(moved_by(20.0)))
    assert not found.undecided
