import igl
import numpy as np
import pytest
from manifold3d import CrossSection

from damage import flipped, opened
from holdwright.geometry.measure.occupancy import lattice_over
from holdwright.geometry.measure.winding_number import winding
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.fuse import fuse, survey
from sculpts import sculpt
from shapes import block, boulder, sphere

ROCK = boulder(50, segments=48)
DOUGHNUT = Solid.checked(CrossSection.circle(12, 32).translate((40, 0)).revolve(64))


def sheets(solid: Solid, gap: float) -> list[Piece]:
    """Part a surface in six by where it lies, and shrink each sheet toward its own middle."""
    middles = solid.vertices[solid.triangles].mean(axis=1) - solid.bounds.mean(axis=0)
    axis = np.argmax(np.abs(middles) / solid.size, axis=1)
    label = 2 * axis + (np.take_along_axis(middles, axis[:, None], 1)[:, 0] > 0)
    found = []
    for number in range(6):
        triangles = solid.triangles[label == number]
        centre = solid.vertices[np.unique(triangles)].mean(axis=0)
        found.append(Piece(f"sheet{number}", centre + (1 - gap) * (solid.vertices - centre), triangles))
    return found


def loose_faces(solid: Solid, shrunk: float) -> Piece:
    corners = solid.vertices[solid.triangles]
    middle = corners.mean(axis=1, keepdims=True)
    points = (middle + (1 - shrunk) * (corners - middle)).reshape(-1, 3)
    return Piece("faces", points, np.arange(len(points)).reshape(-1, 3))


def test_winding_numbers_agree_with_a_general_library():
    """libigl's exact solid angles; ours are a mean over 26 directions."""
    parted = sheets(ROCK, 0.05)
    vertices = np.concatenate([each.vertices for each in parted])
    starts = np.cumsum([0, *(len(each.vertices) for each in parted[:-1])])
    triangles = np.concatenate([each.triangles + start for each, start in zip(parted, starts, strict=True)])
    lattice = lattice_over(*ROCK.bounds, 4.0, 8.0)
    ours = winding(lattice, Mesh(vertices, triangles))
    points = lattice.points(np.argwhere(np.ones(lattice.shape, dtype=bool)))
    exact = igl.winding_number(vertices, triangles, points).reshape(lattice.shape)
    assert np.abs(ours - exact).mean() < 0.05
    assert ((ours > 0.5) == (exact > 0.5)).mean() > 0.995


def test_a_closed_surface_winds_once_round_what_is_inside():
    lattice = lattice_over(*ROCK.bounds, 3.0, 6.0)
    numbers = winding(lattice, ROCK.mesh)
    assert set(np.unique(numbers)) == {0.0, 1.0}
    assert numbers.sum() * 27.0 == pytest.approx(ROCK.volume, rel=0.01)


@pytest.mark.parametrize("solid", [ROCK, DOUGHNUT, block(60, 50, 40)], ids=["rock", "doughnut", "block"])
def test_sheets_that_do_not_join_become_the_solid_they_enclose(solid):
    parted = sheets(solid, 0.005)
    pieces = survey(sculpt(*parted)).pieces
    (met,) = pieces
    assert met.grade == "rebuilt"
    assert met.mending.sheets >= 6
    assert met.solid.volume == pytest.approx(solid.volume, rel=0.01)
    extent = float(np.linalg.norm(solid.size))
    assert met.mending.away.largest < 0.01 * extent
    assert met.mending.after == pytest.approx(met.mending.counted, rel=0.005)


def test_sheets_some_of_them_inside_out_enclose_it_too():
    parted = sheets(ROCK, 0.01)
    turned = [
        Piece(each.name, np.array(each.vertices), each.triangles[:, ::-1] if number % 2 else each.triangles)
        for number, each in enumerate(parted)
    ]
    (met,) = survey(sculpt(*turned)).pieces
    assert met.solid.volume == pytest.approx(ROCK.volume, rel=0.02)


def test_faces_that_all_came_loose_are_one_surface():
    rock = boulder(50, segments=24)
    (met,) = survey(sculpt(loose_faces(rock, 0.05))).pieces
    assert met.solid.volume == pytest.approx(rock.volume, rel=0.005)
    assert fuse([met]).bodies[0].genus == 0


def terrain(height: float, seed: int) -> Piece:
    x, y = np.meshgrid(np.linspace(-50, 50, 24), np.linspace(-50, 50, 24))
    wave = np.random.default_rng(seed).uniform(6, 14, 4)
    z = height * (np.sin(x / wave[0]) * np.cos(y / wave[1]) + np.tanh((x + y) / wave[2]))
    row, column = np.meshgrid(np.arange(23), np.arange(23), indexing="ij")
    a = (row * 24 + column).ravel()
    faces = np.concatenate([np.stack([a, a + 1, a + 25], 1), np.stack([a, a + 25, a + 24], 1)])
    return Piece(f"land{seed}", np.stack([x, y, z], -1).reshape(-1, 3), faces)


def test_sheets_that_enclose_nothing_are_refused():
    above = terrain(8.0, 1)
    below = Piece("below", terrain(8.0, 2).vertices - np.array([0, 0, 60.0]), above.triangles)
    soup = np.random.default_rng(3).normal(0, 20, (60, 1, 3)) + np.random.default_rng(4).normal(
        0, 4, (60, 3, 3)
    )
    loose = Piece("soup", soup.reshape(-1, 3), np.arange(180).reshape(-1, 3))
    for pieces in ([above, below], [loose]):
        assert all(met.solid is None for met in survey(sculpt(*pieces)).pieces)


def test_open_backs_apart_are_closed_each_by_itself():
    half, volume = opened(sphere(30, 48), -5.0)
    other = Piece("other", half.vertices + np.array([0, 0, 90.0]), half.triangles)
    pieces = survey(sculpt(half, other)).pieces
    assert [met.solid.volume for met in pieces] == pytest.approx([volume, volume])


def test_a_ring_cut_off_is_closed_between_its_two_rims():
    open_, volume = opened(DOUGHNUT, -3.0)
    (met,) = survey(sculpt(open_)).pieces
    assert met.solid.volume == pytest.approx(volume, rel=1e-9)
    middles = DOUGHNUT.vertices[DOUGHNUT.triangles].mean(axis=1)[:, 2]
    ragged = middles > -3.0 + np.random.default_rng(1).normal(0, 0.6, len(middles))
    pieces = survey(sculpt(Piece("ragged", np.array(DOUGHNUT.vertices), DOUGHNUT.triangles[ragged]))).pieces
    main = max((met for met in pieces if met.solid), key=lambda met: met.solid.volume)
    assert main.solid.volume == pytest.approx(volume, rel=0.08)
    assert main.solid.genus == 1


def test_fins_on_every_face_go():
    box = block(20, 20, 20)
    middles = box.vertices[box.triangles].mean(axis=1)
    apexes = middles + 0.3 * (middles - [0, 0, 10])
    fins = np.column_stack([box.triangles[:, :2], len(box.vertices) + np.arange(len(apexes))])
    piece = Piece("box", np.vstack([box.vertices, apexes]), np.vstack([box.triangles, fins]))
    (met,) = survey(sculpt(piece)).pieces
    assert met.solid.volume == pytest.approx(8000)
    (mixed,) = survey(sculpt(flipped(Solid.checked(box.kernel.refine(4)), 0.5))).pieces
    assert mixed.solid.volume == pytest.approx(8000)
