"""Hold-like solids that a load at their end breaks, on their wall, and what that gives."""

import math
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold

from holdwright.geometry.mesh.solid import Solid
from holdwright.strength.back_and_seat import seat_points
from holdwright.strength.cell_grid import voxelise
from holdwright.strength.cell_mesh import cut_cells
from holdwright.strength.elastic_model import ElasticBody
from holdwright.strength.measure import Exceeded, exceeded, von_mises
from holdwright.strength.placing import nodal, placed
from holdwright.strength.stress import stresses
from holdwright.strength.wall_contact import MountedHold, PulledSeat

SKIN, INFILL, POISSON = 2000.0, 250.0, 0.36
"""Moduli, MPa."""

ENTRY = 15.0
"""Of the measure is left out what lies within this of the load's middle or of the seat's, mm."""

SEAT, HOLE, WASHER = 15.0, 5.25, 12.0


@dataclass(frozen=True)
class Broken:
    """What a load does to a hold."""

    hottest: Exceeded
    """Von Mises' stress."""
    sag: float
    """Of the loaded point along the load, mm."""
    steps: int
    unknowns: int


def bored(kernel: Manifold) -> Manifold:
    """Bore a hold through its middle, with a pocket for the washer."""
    bore = Manifold.cylinder(200, HOLE, HOLE, 64, True)
    return kernel - bore - Manifold.cylinder(200, WASHER + 0.6, WASHER + 0.6, 64).translate((0, 0, SEAT))


def horn() -> tuple[Solid, np.ndarray, np.ndarray]:
    """A half ball with a horn, the point it is loaded at and the force there."""
    ball = Manifold.sphere(30.0, 96).trim_by_plane((0, 0, 1), 0.0)
    lip = Manifold.cylinder(52, 11, 8, 64) + Manifold.sphere(8.0, 64).translate((0, 0, 52))
    lip = lip.rotate((-50, 0, 0)).translate((3.0, 8.0, 8.0))
    solid = Solid.checked(bored(ball + lip))
    angle = math.radians(50)
    tip = np.array([3.0, 8.0 + 52 * math.sin(angle), 8.0 + 52 * math.cos(angle) + 7.5])
    return solid, tip, np.array([0.0, -300.0, -500.0])


def slit() -> tuple[Solid, np.ndarray, np.ndarray]:
    """A block with a hook on it whose tip nearly touches the block, 0.8 mm apart, and is pulled up."""
    block = Manifold.cube((40, 70, 18.6), True).translate((0, 8, 9.3))
    column = Manifold.cube((16, 16, 34), True).translate((12.4, -17.0, 33.0))
    arm = Manifold.cube((16, 56, 16), True).translate((12.4, 3.0, 42.0))
    tip = Manifold.cube((16, 14, 26), True).translate((12.4, 24.0, 32.4))
    solid = Solid.checked(bored(block + column + arm + tip))
    return solid, np.array([12.4, 24.0, 50.0]), np.array([20.0, 0.0, 150.0])


def broken(
    solid: Solid,
    point: np.ndarray,
    force: np.ndarray,
    cell: float,
    shift: tuple[float, float] = (0.0, 0.0),
    skin: float = 2.0,
) -> Broken:
    """Solve a hold: shell of skin and infill, bolt tightened, loaded round a point."""
    cells = cut_cells(voxelise({"shell": solid}, cell, {"shell": skin}, shift))
    body = ElasticBody.of(cells, np.array([SKIN, INFILL]), POISSON)
    place, shares = seat_points(cells, (0.0, 0.0), SEAT, HOLE, WASHER)
    hold = MountedHold(body, 100.0, [PulledSeat(place, shares, 6000.0, 1e5)])
    surface = solid.mesh.corners.mean(axis=1)
    near = surface[np.linalg.norm(surface - point, axis=1) < ENTRY * 0.6]
    entry = placed(cells, near)
    loads = np.repeat(force[None] / len(near), len(near), axis=0)
    found = hold.loaded([nodal(cells, entry, loads)])
    samples, stress = stresses(body, found.moved)
    volumes = samples.volumes.copy()
    for middle in (point, np.array([0.0, 0.0, SEAT])):
        volumes[np.linalg.norm(samples.places - middle, axis=1) < ENTRY] = 0.0
    way = (found.moved - hold.tightened.moved).reshape(-1, 3)
    sag = float((entry.matrix(cells) @ way).mean(axis=0) @ force / np.linalg.norm(force))
    hottest = exceeded(von_mises(stress[:, :, 0]), volumes, samples.places)
    return Broken(hottest, sag, found.steps, 3 * cells.mesh.node_count)
