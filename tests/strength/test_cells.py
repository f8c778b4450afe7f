"""Cells, their stiffness and their solution, beside what they must be."""

import math

import numpy as np
import pytest
from manifold3d import Manifold
from scipy.ndimage import distance_transform_edt

from finished import bored_boulder, split
from holdwright.errors import Cancelled, GeometryError
from holdwright.geometry.mesh.solid import Solid
from holdwright.progress import Progress
from holdwright.strength import multigrid
from holdwright.strength.back_and_seat import back_points, seat_points
from holdwright.strength.cell_grid import CellGrid, depths, voxelise
from holdwright.strength.cell_mesh import coarser, cut_cells
from holdwright.strength.cell_stiffness import CORNERS, cell_matrices, strain_matrix
from holdwright.strength.conjugate_gradients import NOTHING, OneSided, conjugate_gradients
from holdwright.strength.elastic_model import ElasticBody, ElasticModel, Springs
from holdwright.strength.placing import nodal, placed
from holdwright.strength.stress import stresses
from holdwright.strength.wall_contact import MountedHold, PulledSeat
from shapes import block


def box(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Manifold:
    low, high = np.transpose([x, y, z])
    return Manifold.cube(tuple(high - low)).translate(tuple(low))


def grid_of(kernel: Manifold, cell: float = 2.0, skin: float = math.inf) -> CellGrid:
    return voxelise({"body": Solid.checked(kernel)}, cell, {"body": skin})


@pytest.mark.parametrize("cell", [2.0, 3.0])
def test_cells_hold_what_solids_do(cell):
    parts = split(bored_boulder(32))
    grid = voxelise(parts, cell, {"shell": 1.2, "core": math.inf})
    whole = sum(solid.volume for solid in parts.values())
    assert grid.volume == pytest.approx(whole, rel=1e-3)
    assert grid.regions == ("shell skin", "shell infill", "core skin", "core infill")
    assert grid.volumes[:2].sum() == pytest.approx(parts["shell"].volume, rel=2e-3)
    assert grid.volumes[3] == 0.0


@pytest.mark.parametrize("thickness", [0.8, 1.2, 2.0])
def test_skin_is_as_thick_as_asked_for(thickness):
    grid = grid_of(box((0, 30), (0, 24), (0, 20)), 2.0, thickness)
    inner = np.prod([30 - 2 * thickness, 24 - 2 * thickness, 20 - 2 * thickness])
    assert grid.volumes == pytest.approx([30 * 24 * 20 - inner, inner], rel=0.02)


def test_depths_are_euclidean():
    own = np.random.default_rng(2).random((14, 11, 9)) < 0.97
    exact = distance_transform_edt(np.pad(own, 1))[1:-1, 1:-1, 1:-1]
    near = exact <= 4
    assert depths(own, 4)[near] == pytest.approx(exact[near])
    assert depths(own, 20) == pytest.approx(exact)


def test_a_grid_that_is_too_fine_or_too_coarse_is_refused():
    with pytest.raises(GeometryError, match="too many cells"):
        voxelise({"body": block()}, 0.1, {"body": 1.0})
    speck = Solid.checked(box((0.2, 0.4), (0.2, 0.4), (0.2, 0.4)))
    with pytest.raises(GeometryError, match="Nothing of speck is left"):
        voxelise({"body": block(), "speck": speck}, 4.0, {"body": 1.0, "speck": 1.0})


def test_full_and_cut_cells_pass_the_patch_test():
    # An even strain does the work of an even stress on the cell's material, and no rigid motion does any.
    forms = cell_matrices(4, 0.3)
    weights = (np.random.default_rng(3).random((5, 64)) < 0.4) * 1.0
    weights[0] = 1.0
    middle = (weights @ forms.middles) / weights.sum(axis=1)[:, None]
    stiffness, modes = forms.cut(weights * 1000.0, middle)
    assert np.linalg.eigvalsh(stiffness)[:, :6] == pytest.approx(np.zeros((5, 6)), abs=1e-8)
    assert (np.linalg.eigvalsh(stiffness)[:, 6:] > 1e-6).all()
    gradient = np.random.default_rng(4).normal(size=(3, 3))
    corners = (CORNERS @ gradient.T).T.ravel()
    strain = strain_matrix(np.full((1, 3), 0.3))[0, :, :24] @ corners
    stress = 1000.0 / 1.3 * np.array([*strain[:3], *strain[3:] / 2])
    stress[:3] += 1000.0 * 0.3 / 1.3 / 0.4 * strain[:3].sum()
    expected = strain @ stress * weights.sum(axis=1) / 64
    assert corners @ stiffness @ corners == pytest.approx(expected, rel=1e-9)
    assert np.abs(modes @ corners).max() < 1e-9


def test_a_slit_within_cells_stays_open():
    slotted = box((0, 20), (0, 8), (0, 8)) - box((-1, 14), (-1, 9), (4.6, 5.4))
    cells = cut_cells(grid_of(slotted))
    whole = cut_cells(grid_of(box((0, 20), (0, 8), (0, 8))))
    assert len(cells.mesh.index) == len(whole.mesh.index) + 7 * 4
    step = coarser(cells.mesh)
    apart = {tuple(each) for each in step.mesh.index.tolist()}
    assert len(step.mesh.index) > len(apart)  # coarse cells are copied too
    assert cells.weights.sum() / 64 + cells.plain == pytest.approx(
        Solid.checked(slotted).volume / 8.0, rel=1e-3
    )


def held_block() -> tuple[ElasticModel, np.ndarray]:
    cells = cut_cells(grid_of(box((0.3, 9.1), (0.2, 7.7), (0, 6.9)), 2.0, 1.5))
    body = ElasticBody.of(cells, np.array([2000.0, 200.0]), 0.35)
    back, areas = back_points(cells)
    model = ElasticModel(body, Springs(back, np.outer(areas, [50.0, 50.0, 100.0])))
    point = placed(cells, np.array([[9.1, 5.0, 6.0]]))
    return model, nodal(cells, point, np.array([[3.0, -40.0, 10.0]]))


def test_multigrid_finds_what_a_direct_solver_does(monkeypatch):
    monkeypatch.setattr(multigrid, "FEWEST", 20)
    model, forces = held_block()
    assert len(model._near.levels) == 2
    solved = model.solve(forces)
    matrix = model._held.dense()
    assert solved.moved == pytest.approx(np.linalg.solve(matrix, forces), rel=1e-4, abs=1e-6)
    assert solved.left < 1e-6
    assert solved.steps < 40
    assert matrix == pytest.approx(matrix.T, abs=1e-9 * np.abs(matrix).max())
    assert np.diag(matrix) == pytest.approx(model._held.diagonal)


def test_work_reports_and_can_be_stopped():
    model, forces = held_block()
    heard = list[float]()
    model.solve(forces, progress=Progress(lambda fraction, _: heard.append(fraction)))
    assert heard == sorted(heard)
    assert heard[0] == 0.0
    assert heard[-1] > 0.5
    with pytest.raises(Cancelled):
        model.solve(forces, progress=Progress(cancelled=lambda: True))


def test_one_sided_springs_settle_where_the_energy_is_least():
    # Of two unknowns: pushed one way a spring presses, the other way it does not.
    from scipy.sparse import csr_array

    matrix = np.array([[3.0, -1.0], [-1.0, 2.0]])
    bed = OneSided(csr_array(np.eye(2)), np.array([5.0, 5.0]))
    near = lambda left: left / 3.0  # noqa: E731
    found = conjugate_gradients(lambda moved: matrix @ moved, near, np.array([4.0, -9.0]), None, bed)
    pressed = (found.moved < 0.0) * 5.0
    assert found.moved == pytest.approx(np.linalg.solve(matrix + np.diag(pressed), [4.0, -9.0]), rel=1e-5)
    assert pressed.tolist() == [5.0, 5.0] or found.moved.max() > 0.0
    free = conjugate_gradients(lambda moved: matrix @ moved, near, np.array([4.0, 9.0]), None, NOTHING)
    assert free.moved == pytest.approx(np.linalg.solve(matrix, [4.0, 9.0]), rel=1e-5)


def test_stress_in_skin_and_infill_goes_by_their_moduli():
    # A bar along x, pulled evenly: equal strain, so that stress is as the modulus.
    cells = cut_cells(grid_of(box((-20.2, 20.1), (-8.1, 8.0), (0.0, 14.0)), 2.0, 2.0))
    body = ElasticBody.of(cells, np.array([2000.0, 400.0]), 0.0)
    places = cells.grid.origin + cells.grid.cell * cells.mesh.node_places
    moved = np.zeros((len(places), 3))
    moved[:, 0] = 0.001 * places[:, 0]
    samples, stress = stresses(body, moved.reshape(-1, 1))
    for region, modulus in enumerate((2000.0, 400.0)):
        own = stress[samples.region == region, :, 0]
        assert own == pytest.approx(np.tile([0.001 * modulus, 0, 0, 0, 0, 0], (len(own), 1)), abs=1e-4)
    assert samples.volumes.sum() == pytest.approx(cells.grid.volume, rel=5e-3)


def test_a_bolt_pulls_more_as_a_load_lifts_its_hold():
    kernel = box((-16, 16), (-16, 16), (0, 14)) - Manifold.cylinder(60, 5, 5, 48, True)
    cells = cut_cells(grid_of(kernel, 4.0))
    body = ElasticBody.of(cells, np.array([2000.0, 2000.0]), 0.36)
    place, shares = seat_points(cells, (0.0, 0.0), 14.0, 5.0, 11.0)
    hold = MountedHold(body, 100.0, [PulledSeat(place, shares, 1000.0, 5e4)])
    back, areas = back_points(cells)
    assert areas.sum() == pytest.approx(32 * 32 - math.pi * 25, rel=0.01)
    assert areas @ hold.tightened.pressure[:, 0] == pytest.approx(1000.0, rel=1e-3)
    top = placed(cells, np.array([[-14.0, 0.0, 14.0], [14.0, 0.0, 14.0]]))
    loads = [nodal(cells, top, np.array([[0.0, 0.0, each]] * 2)) for each in (200.0, 900.0)]
    found = hold.loaded(loads)
    pressing = areas @ found.pressure
    assert pressing == pytest.approx(found.bolts[0] - [400.0, 1800.0], abs=5.0)
    assert 1000.0 < found.bolts[0, 0] < 1400.0
    assert 1800.0 < found.bolts[0, 1] < 2200.0  # more than the load: the edges pry
    assert len(back.points) == len(areas)


def test_what_cannot_be_mounted_is_refused():
    cells = cut_cells(grid_of(box((-10, 10), (-10, 10), (4, 14))))
    with pytest.raises(GeometryError, match="no flat back"):
        back_points(cells)
    with pytest.raises(GeometryError, match="nothing is there to press on"):
        seat_points(cells, (40.0, 0.0), 14.0, 2.0, 6.0)
    with pytest.raises(GeometryError, match="no material"):
        placed(cells, np.array([[60.0, 0.0, 0.0]]))
