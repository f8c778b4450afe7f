import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold

from holdwright.errors import GeometryError
from holdwright.geometry.core.core_fit import CoreRequest, candidates, fit_core, ring_width
from holdwright.geometry.core.parting import faces_of_whole, gather, part_whole
from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.measure.clearance import ClearanceQuery
from holdwright.geometry.mesh.frustum import Frustum, turn_to
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder, ring

UP = (0.0, 0.0, 1.0)
ORIGIN = (0.0, 0.0, 0.0)


def frustum_volume(low: float, high: float, height: float) -> float:
    """Volume of a frustum (the prismoidal formula, any handbook of mathematics)."""
    return math.pi / 3 * (low * low + low * high + high * high) * height


def leaning(degrees: float, about: float = 30.0) -> tuple[float, float, float]:
    tilt, turn = np.radians(degrees), np.radians(about)
    return (float(np.sin(tilt) * np.cos(turn)), float(np.sin(tilt) * np.sin(turn)), float(np.cos(tilt)))


def test_frustum_has_the_volume_of_the_round_one():
    solid = Frustum(ORIGIN, UP, 60.0, 35.0, 45.0).solid
    assert solid.volume == pytest.approx(326332.936892, rel=1e-11)  # closed form, 12 digits
    assert solid.volume == pytest.approx(frustum_volume(60, 35, 45), rel=1e-12)
    assert solid.bounds[:, 2] == pytest.approx([0.0, 45.0])


@given(
    degrees=st.floats(0.0, 80.0),
    about=st.floats(-180.0, 180.0),
    low=st.floats(5.0, 60.0),
    share=st.floats(0.2, 1.0),
    top=st.floats(2.0, 60.0),
    below=st.floats(0.0, 10.0),
)
@settings(max_examples=20, deadline=None)
def test_frustum_keeps_its_volume_at_any_lean(degrees, about, low, share, top, below):
    frustum = Frustum((3.0, -4.0, 1.0), leaning(degrees, about), low, low * share, top, -below)
    expected = frustum_volume(frustum.radius_at(-below), low * share, top + below)
    assert frustum.solid.volume == pytest.approx(expected, rel=1e-9)
    middle = np.array(frustum.foot) + np.array(frustum.axis) * (top - below) / 2
    assert frustum.distance(middle[None])[0] < 0


def test_upright_turn_is_exactly_none():
    assert np.array_equal(turn_to(np.array(UP)), np.eye(3))


@pytest.mark.parametrize("axis", [(0.0, 0.0, -1.0), (1.0, 0.0, 0.0), (0.6, 0.0, -0.8)])
def test_turn_takes_z_to_the_axis_and_is_a_rotation(axis):
    turn = turn_to(np.array(axis))
    assert turn @ np.array(UP) == pytest.approx(np.array(axis))
    assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1.0)


def test_distance_to_frustum_by_hand():
    frustum = Frustum(ORIGIN, UP, 20.0, 20.0, 30.0, -5.0)
    points = np.array(
        [[0, 0, 10], [0, 0, 28], [26, 0, 10], [0, 26, 38], [0, 3, 42], [19, 0, 10]], dtype=float
    )
    assert frustum.distance(points) == pytest.approx([-15.0, -2.0, 6.0, 10.0, 12.0, -1.0])


@given(seed=st.integers(0, 10_000))
@settings(max_examples=10, deadline=None)
def test_distance_is_bounded_below_by_its_tangent(seed):
    generator = np.random.default_rng(seed)
    frustum = Frustum((5.0, 1.0, 0.0), leaning(25.0), 25.0, 15.0, 30.0, -8.0)
    here, there = generator.uniform(-50, 50, (2, 200, 3))
    value, slope = frustum.distance_and_gradient(here)
    assert np.all(frustum.distance(there) >= value + np.einsum("ij,ij->i", there - here, slope) - 1e-9)


@pytest.mark.parametrize("degrees", [0.0, 15.0])
def test_nearest_place_agrees_with_dense_samples(degrees):
    solid = boulder(60.0, 0.25, seed=4, segments=48)
    frustum = Frustum((4.0, 2.0, -10.0), leaning(degrees), 25.0, 15.0, 25.0, -10.0)
    nearest = ClearanceQuery(solid.mesh).nearest_to(frustum, tolerance=1e-3)
    generator = np.random.default_rng(1)
    weights = generator.dirichlet((1, 1, 1), size=(60, len(solid.triangles)))
    samples = np.einsum("stc,tcx->stx", weights, solid.vertices[solid.triangles]).reshape(-1, 3)
    sampled = frustum.distance(samples).min()
    assert sampled - 0.3 < nearest.distance <= sampled + 1e-3
    assert frustum.distance(np.array([nearest.place]))[0] == pytest.approx(nearest.distance)


def test_nearest_place_on_large_triangles():
    """A block has only corners for vertices; the walls beside the core are what is near."""
    solid = block(100, 80, 60)
    nearest = ClearanceQuery(solid.mesh).nearest_to(Frustum(ORIGIN, UP, 25.0, 20.0, 25.0))
    assert nearest.distance == pytest.approx(0.0, abs=0.011)  # its foot stands on the back
    above = solid.triangles[(solid.vertices[solid.triangles][:, :, 2] > 1).any(axis=1)]
    nearest = ClearanceQuery(Mesh(solid.vertices, above)).nearest_to(Frustum(ORIGIN, UP, 25.0, 20.0, 25.0))
    assert nearest.distance == pytest.approx(15.0, abs=0.011)
    assert nearest.place[2] < 1.0


def test_parts_fill_the_whole_exactly():
    solid = boulder(60.0, 0.2, segments=96)
    cut = Solid.checked(solid.kernel.trim_by_plane(UP, -20.0).translate((0, 0, 20.0)))
    parting = part_whole(cut, [Frustum(ORIGIN, UP, 27.0, 23.0, 30.0, -1.0)])
    assert parting.shell.volume + parting.core.volume == pytest.approx(cut.volume, rel=1e-12)
    assert parting.core.volume == pytest.approx(frustum_volume(27, 23, 30), rel=1e-9)
    assert float((parting.shell.kernel ^ parting.core.kernel).volume()) == pytest.approx(0.0, abs=1e-6)


def test_overlapping_columns_fuse_and_separate_ones_do_not():
    near = part_whole(block(), [Frustum((x, 0, 0), UP, 20, 15, 25, -1) for x in (-10.0, 10.0)])
    far = part_whole(block(), [Frustum((x, 0, 0), UP, 20, 15, 25, -1) for x in (-25.0, 25.0)])
    assert len(near.core.kernel.decompose()) == 1
    assert len(far.core.kernel.decompose()) == 2
    assert far.core.volume == pytest.approx(2 * frustum_volume(20, 15, 25), rel=1e-12)
    assert near.shell.volume + near.core.volume == pytest.approx(block().volume, rel=1e-12)


def test_core_beside_the_hold_or_swallowing_it_is_refused():
    with pytest.raises(GeometryError, match="does not meet"):
        part_whole(block(), [Frustum((200.0, 0, 0), UP, 20, 15, 25, -1)])
    with pytest.raises(GeometryError, match="no shell"):
        part_whole(block(20, 20, 20), [Frustum(ORIGIN, UP, 40, 40, 30, -1)])


def rough(seed: int) -> Solid:
    """A hold so knobbly that a core near its surface cuts bits off the shell."""
    generator = np.random.default_rng(seed)
    waves, phases = generator.normal(size=(30, 3)) * 14, generator.uniform(0, 2 * np.pi, 30)

    def displace(points):
        unit = points / np.linalg.norm(points, axis=1, keepdims=True)
        return unit * (50 * (1 + 0.25 * np.sin(unit @ waves.T + phases).sum(axis=1) / 6))[:, None]

    return Solid.checked(Manifold.sphere(50, 160).warp_batch(displace).trim_by_plane(UP, 0.0))


@pytest.mark.parametrize("seed", [2, 3, 6, 11])
def test_slivers_of_shell_go_to_the_core(seed):
    whole = rough(seed)
    parting = part_whole(whole, [Frustum(ORIGIN, UP, 47, 44, 30, -1)])
    assert len(parting.shell.kernel.decompose()) > 1  # the test is about something
    gathered = gather(parting, 200.0)
    assert gathered.to_core
    assert all(volume >= 200.0 for volume in gathered.shell_pieces)
    assert len(gathered.core_pieces) == 1
    assert len(gathered.core.kernel.decompose()) == 1
    assert gathered.shell.volume + gathered.core.volume == pytest.approx(whole.volume, rel=1e-9)
    assert gathered.core.volume - parting.core.volume == pytest.approx(sum(gathered.to_core), rel=1e-6)


def test_pieces_are_counted_where_the_core_cuts_the_hold_in_two():
    gathered = gather(part_whole(block(100, 30, 20), [Frustum(ORIGIN, UP, 25, 24, 25, -1)]), 100.0)
    assert len(gathered.shell_pieces) == 2
    assert gathered.shell_pieces[0] == pytest.approx(gathered.shell_pieces[1], rel=1e-9)
    assert gathered.to_core == ()


def test_open_faces_of_the_core_are_known():
    """A 25 mm cylinder through a 20 mm slab lies open at both faces and nowhere else."""
    frusta = [Frustum(ORIGIN, UP, 25.0, 25.0, 30.0, -5.0)]
    core = part_whole(block(100, 80, 20), frusta).core
    surface = faces_of_whole(core, frusta)
    assert surface.area == pytest.approx(2 * math.pi * 25**2, rel=1e-9)
    assert set(np.round(surface.corners[:, :, 2], 6).ravel()) == {0.0, 20.0}


COLUMN = Hole(0.0, 0.0, 25.0, pocket_diameter=31.0)


def room(solid: Solid, request: CoreRequest, column: Hole = COLUMN):
    return fit_core(column, request, HoldSurface(solid.mesh, [column]))


def test_automatic_core_is_tapered_and_rings_the_pocket():
    fit = room(block(200, 200, 80), CoreRequest())
    assert fit.frustum == fit.first_choice
    assert fit.frustum.top == 26.0
    assert fit.frustum.top_radius == pytest.approx(1.5 * 15.5)
    assert fit.frustum.foot_radius > fit.frustum.top_radius
    assert ring_width(fit.frustum, COLUMN) == pytest.approx(7.75)
    assert fit.shell == np.inf  # nothing within reach


def test_automatic_core_narrows_until_there_is_shell_enough():
    first = room(block(200, 200, 80), CoreRequest()).frustum
    narrow = room(block(200, 62, 80), CoreRequest())
    assert narrow.frustum.foot_radius < first.foot_radius
    assert narrow.shell >= 6.0
    tight = room(block(200, 50, 80), CoreRequest())
    assert ring_width(tight.frustum, COLUMN) is None  # within the pocket's outline
    assert tight.shell >= 6.0


def test_without_room_the_core_that_leaves_most_is_taken():
    fit = room(block(200, 36, 80), CoreRequest())
    assert fit.shell == pytest.approx(18 - fit.frustum.foot_radius, abs=0.02)
    assert fit.frustum.foot_radius == pytest.approx(14.5)


@pytest.mark.parametrize(("seed", "least"), [(1, 6.0), (2, 6.0), (3, 14.0), (4, 0.0)])
def test_choice_is_that_of_judging_every_candidate(seed, least):
    solid = Solid.checked(
        boulder(40.0, seed=seed, segments=48).kernel.trim_by_plane(UP, -5.0).translate((0, 0, 5))
    )
    request = CoreRequest(least_shell=least)
    vertices = solid.vertices[solid.vertices[:, 2] > 1e-3]
    shells = {core: float(core.distance(vertices).min()) for core in candidates(COLUMN, request, 0.0)}
    enough = [core for core, shell in shells.items() if shell >= least]
    fit = room(solid, request)
    if enough:
        assert fit.frustum == enough[0]
    else:
        assert shells[fit.frustum] == pytest.approx(max(shells.values()), abs=0.1)


@given(
    pocket=st.floats(8.0, 40.0),
    seat=st.floats(5.0, 60.0),
    wall=st.one_of(st.just(0.0), st.floats(10.0, 150.0)),
    clear=st.floats(0.0, 12.0),
)
@settings(max_examples=40, deadline=None)
def test_no_candidate_has_a_thin_ring(pocket, seat, wall, clear):
    column = Hole(0.0, 0.0, seat, pocket_diameter=pocket)
    met = list(candidates(column, CoreRequest(wall_diameter=wall, clear_of_pocket=clear), 0.0))
    assert met
    for frustum in met:
        width = ring_width(frustum, column)
        assert width is None or width >= clear - 1e-9
        assert frustum.top_radius > 0
        assert frustum.foot_radius >= frustum.top_radius - 1e-9
        if wall:
            assert frustum.foot_radius == pytest.approx(wall / 2)


@pytest.mark.parametrize("degrees", [0.0, 20.0, 40.0])
def test_core_goes_through_the_stock_below_the_back(degrees):
    column = Hole(0.0, 0.0, 25.0, pocket_diameter=31.0, axis=leaning(degrees))
    for frustum in candidates(column, CoreRequest(), -0.4):
        points = frustum.solid.vertices
        lowest = points[np.argsort(points @ np.array(column.axis))[:128]]
        assert lowest[:, 2].max() < -0.4


def test_bore_and_back_are_no_grip_surface():
    solid = ring(40.0, 15.5, 20.0)
    rim, above = HoldSurface(solid.mesh, [Hole(0.0, 0.0, pocket_diameter=31.0)], 2.0).grip()
    middles = Mesh.joined([rim, above]).corners.mean(axis=1)
    radii = np.linalg.norm(middles[:, :2], axis=1)
    heights = middles[:, 2]
    assert radii.min() > 15.5
    assert heights.min() > 1.0
    assert np.all((rim.corners[:, :, 2] <= 2.0).any(axis=1))


@pytest.mark.parametrize("degrees", [0.0, 30.0])
def test_bounds_of_a_frustum_are_those_of_its_solid(degrees):
    frustum = Frustum((3.0, -4.0, 1.0), leaning(degrees), 25.0, 15.0, 30.0, -5.0)
    assert frustum.bounds == pytest.approx(frustum.solid.bounds, abs=0.01)


@pytest.mark.parametrize("shift", [30.0, 38.0, 44.0, 60.0])
def test_reach_leaves_out_only_what_is_farther(shift):
    solid = Solid.checked(block(60, 60, 60).kernel.translate((shift + 30.0, 0, 0)))
    frustum = Frustum(ORIGIN, UP, 30.0, 25.0, 25.0)
    near = HoldSurface(solid.mesh).near(frustum.bounds[0] - 10, frustum.bounds[1] + 10)
    met = ClearanceQuery(Mesh.joined(near.grip())).nearest_to(frustum, reach=10.0)
    assert met.distance == pytest.approx(shift - 30.0 if shift <= 40.0 else np.inf, abs=0.011)
