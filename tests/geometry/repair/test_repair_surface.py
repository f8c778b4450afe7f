import numpy as np
import pytest
from manifold3d import Manifold

from damage import flipped, jittered, opened, torn, tube
from holdwright.geometry.mesh.boundary_loops import boundary_loops
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.face_orientation import outward_parts
from holdwright.geometry.repair.fuse import fuse, survey
from holdwright.geometry.repair.overlap_detection import lines_through
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.operations.import_words import problem_of
from sculpts import piece, sculpt
from shapes import block, boulder, ring, sphere


def mended(*pieces: Piece, **options: object) -> SculptPiece:
    (only,) = survey(sculpt(*pieces), **options).pieces
    return only


ROUGH = boulder(50, segments=64)


@pytest.mark.parametrize("share", [0.02, 0.1])
def test_faces_taken_away_at_random_are_put_back(share):
    met = mended(torn(ROUGH, share))
    assert met.grade == "mended"
    assert met.solid.volume == pytest.approx(ROUGH.volume, rel=1e-5)
    assert len(met.mending.holes) > 20
    assert met.mending.away.largest == pytest.approx(0.0, abs=1e-9)


def test_faces_wound_at_random_all_look_outward():
    met = mended(flipped(ROUGH, 0.3))
    assert met.solid.volume == pytest.approx(ROUGH.volume)
    share = met.mending.turned / ROUGH.triangle_count
    assert 0.25 < share < 0.35
    assert not met.mending.holes


def test_corners_that_jitter_are_welded_and_the_distance_told():
    met = mended(jittered(ROUGH, 0.02))
    assert met.solid.volume == pytest.approx(ROUGH.volume, rel=1e-3)
    assert 0.01 < met.mending.moved < 0.06
    assert met.mending.away.largest >= met.mending.moved


def test_detail_finer_than_the_welding_distance_stays_when_nothing_is_open():
    fine = sphere(0.001, 32)
    pieces = survey(sculpt(piece("speck", fine), piece("large", block()))).pieces
    assert pieces[0].solid.triangle_count == fine.triangle_count
    assert pieces[0].grade == "as sculpted"


@pytest.mark.parametrize(
    "solid", [ROUGH, sphere(50, 64), block(), ring()], ids=["rock", "ball", "block", "ring"]
)
def test_a_back_cut_open_is_closed_by_the_flat_it_was_cut_by(solid):
    open_, volume = opened(solid, float(solid.bounds.mean(axis=0)[2]) - 3.0)
    met = mended(open_)
    assert met.solid.volume == pytest.approx(volume, rel=1e-9)
    assert {hole.kind for hole in met.mending.holes} == {"flat"}
    assert met.mending.added.largest == pytest.approx(0.0, abs=1e-6)


def test_a_ragged_back_is_closed_nearly_flat():
    ball = sphere(50, 96)
    kept = ball.vertices[ball.triangles].mean(axis=1)[:, 2] > -15.0
    met = mended(Piece("ball", np.array(ball.vertices), ball.triangles[kept]))
    closed = Solid.checked(ball.kernel.trim_by_plane((0.0, 0.0, 1.0), -15.0))
    assert met.solid.volume == pytest.approx(closed.volume, rel=0.03)
    assert met.solid.bounds[0, 2] > -18.0


def test_a_torn_hole_is_closed_by_a_surface_that_runs_on():
    ball = sphere(50, 96)
    kept = ball.vertices[ball.triangles].mean(axis=1)[:, 2] < 48.0
    met = mended(Piece("ball", np.array(ball.vertices), ball.triangles[kept]))
    flat = Solid.checked(ball.kernel.trim_by_plane((0.0, 0.0, -1.0), -48.0))
    assert abs(met.solid.volume - ball.volume) < 0.3 * (ball.volume - flat.volume)


def test_a_wall_within_goes_and_both_rooms_become_one():
    cube = Solid(Manifold.cube((10, 10, 10)))
    vertices = np.vstack([cube.vertices, cube.vertices + np.array([10, 0, 0])])
    triangles = np.vstack([cube.triangles, cube.triangles + len(cube.vertices)])
    wall = np.flatnonzero((vertices[triangles][:, :, 0] == 10).all(axis=1))
    for left_out, walls in ((wall[2:], 2), (wall[:0], 0)):
        met = survey(sculpt(Piece("rooms", vertices, np.delete(triangles, left_out, axis=0)))).pieces
        assert fuse(met).bodies[0].volume == pytest.approx(2000)
        assert sum(each.mending.walls for each in met if each.mending) == walls


def test_a_fin_goes():
    box = block(10, 10, 10)
    fin = np.array([[20.0, 0, 5]])
    edge = box.triangles[0, :2]
    triangles = np.vstack([box.triangles, [[*edge, len(box.vertices)]]])
    met = mended(Piece("box", np.vstack([box.vertices, fin]), triangles))
    assert met.solid.volume == pytest.approx(1000)
    assert met.mending.away.largest > 5.0


def test_holes_that_touch_in_a_vertex_are_told_apart():
    fan = np.array([[0, 1, 2], [0, 3, 4], [0, 5, 6]])
    angle = np.arange(6) * np.pi / 3
    points = np.vstack([[0, 0, 0], np.column_stack([np.cos(angle), np.sin(angle), np.zeros(6)])])
    loops = boundary_loops(Mesh(points, fan))
    assert sorted(len(loop.corners) for loop in loops) == [3, 3, 3]


def test_winding_does_not_matter_to_what_is_outside():
    box = block()
    mixed = np.where(np.arange(12)[:, None] % 2, box.triangles, box.triangles[:, ::-1])
    (part,) = outward_parts(Mesh(box.vertices, mixed))
    assert part.mesh.volume == pytest.approx(box.volume)


def coil() -> tuple[Piece, float]:
    """Two turns of a tube that lie within each other for most of the way; the true volume from its halves."""
    turn = np.linspace(0, 4 * np.pi, 160)
    line = np.stack([30 * np.cos(turn), 30 * np.sin(turn), 0.6 * turn], axis=1)
    halves = [tube(line[:81], 6.0), tube(line[80:], 6.0)]
    solids = [Solid.from_triangles(half.vertices, half.triangles) for half in halves]
    return tube(line, 6.0), (solids[0].kernel + solids[1].kernel).volume()


def test_a_coil_through_itself_counts_once():
    whole, volume = coil()
    met = mended(whole)
    assert met.mending.before > 1.3 * volume
    assert met.solid.volume == pytest.approx(volume, rel=0.003)
    assert met.mending.doubled == pytest.approx(met.mending.before - volume, rel=0.05)
    assert met.mending.after == pytest.approx(met.mending.counted, rel=0.005)


def test_a_bend_tighter_than_the_stroke_is_made_anew_there_alone():
    turn = np.linspace(0, np.pi, 40)
    straight = np.stack([np.full(40, 2.0), np.linspace(-60, 0, 41)[:-1], np.zeros(40)], axis=1)
    bend = np.stack([2 * np.cos(turn), 2 * np.sin(turn), np.zeros(40)], axis=1)
    back = np.stack([np.full(40, -2.0), np.linspace(0, -60, 41)[1:], 0.15 * np.arange(1, 41)], axis=1)
    met = mended(tube(np.vstack([straight, bend, back]), 6.0))
    assert met.mending.after == pytest.approx(met.mending.counted, rel=0.005)
    assert met.mending.anew < 0.6
    assert lines_through([met.solid.mesh]).share[0] < 1e-3


def test_overlap_is_measured_by_lines():
    box = block()
    twice = Mesh.joined([box.mesh, Mesh(box.vertices + np.array([50.0, 0, 0]), box.triangles)])
    met = lines_through([twice, box.mesh])
    assert met.volume == pytest.approx([480_000, 320_000], rel=0.01)
    assert met.doubled == pytest.approx([160_000, 0], rel=0.02)


def moebius() -> Piece:
    turn = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    wide = np.array([-8.0, 8.0])
    radius = 40 + wide[None] * np.cos(turn / 2)[:, None]
    points = np.stack(
        [
            radius * np.cos(turn)[:, None],
            radius * np.sin(turn)[:, None],
            wide[None] * np.sin(turn / 2)[:, None],
        ],
        -1,
    ).reshape(-1, 3)
    first = 2 * np.arange(60)
    second = np.roll(first, -1)
    a, b, c, d = first, first + 1, second, second + 1
    c, d = np.where(second == 0, 1, c), np.where(second == 0, 0, d)
    return Piece("strip", points, np.concatenate([np.stack([a, c, b], 1), np.stack([b, c, d], 1)]))


def terrain() -> Piece:
    x, y = np.meshgrid(np.linspace(-50, 50, 40), np.linspace(-50, 50, 40))
    height = 8 * np.sin(x / 11) * np.cos(y / 13) + 6 * np.cos(x / 7 + y / 9)
    row, column = np.meshgrid(np.arange(39), np.arange(39), indexing="ij")
    a = (row * 40 + column).ravel()
    faces = np.concatenate([np.stack([a, a + 1, a + 41], 1), np.stack([a, a + 41, a + 40], 1)])
    return Piece("hill", np.stack([x, y, height], -1).reshape(-1, 3), faces)


def plate() -> Piece:
    return Piece(
        "plate", np.array([[0.0, 0, 0], [9, 0, 0], [9, 9, 0], [0, 9, 0]]), np.array([[0, 1, 2], [0, 2, 3]])
    )


@pytest.mark.parametrize(
    ("sheet", "words"),
    [
        (moebius(), "one side"),
        (terrain(), "open sheet"),
        (plate(), "flat"),
        (Piece("bit", np.eye(3), np.array([[0, 1, 2]])), "single loose triangle"),
    ],
    ids=["moebius", "terrain", "plate", "triangle"],
)
def test_what_bounds_nothing_is_told_as_what_it_is(sheet, words):
    met = mended(sheet)
    assert met.solid is None
    assert words in problem_of(met)


def test_groups_that_share_a_rim_are_one_piece_even_where_that_stays_open():
    open_, volume = opened(ROUGH, -10.0)
    half = len(open_.triangles) // 2
    met = mended(
        Piece("wood", np.array(open_.vertices), open_.triangles[:half]),
        Piece("felt", np.array(open_.vertices), open_.triangles[half:]),
    )
    assert met.name == "wood + felt"
    assert met.solid.volume == pytest.approx(volume, rel=1e-6)
