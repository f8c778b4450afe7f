"""Bodies of one elastic material, turned and off the grid, under forces that are in balance."""

import math
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold
from scipy.spatial.transform import Rotation

from holdwright.geometry.mesh.solid import Solid
from holdwright.strength.cell_grid import voxelise
from holdwright.strength.cell_mesh import cut_cells
from holdwright.strength.elastic_model import ElasticBody, ElasticModel, Springs
from holdwright.strength.measure import exceeded, von_mises
from holdwright.strength.placing import nodal, placed
from holdwright.strength.stress import stresses

E, NU = 2000.0, 0.35
"""Modulus, MPa, and Poisson's ratio."""

TURNS = ((0.0, 0.0, 0.0), (21.0, 13.0, 37.0), (5.0, 50.0, 10.0))
"""Angles about x, y and z, degrees: along the grid and twice across it."""

_CLOSE = 1e-3
"""Stiffness of the springs that hold a body whose forces are in balance, by the modulus; N/mm in all."""


@dataclass(frozen=True, eq=False)
class Stressed:
    """Stress in a body, seen from its own axes."""

    places: np.ndarray
    volumes: np.ndarray
    tensor: np.ndarray
    """(m, 3, 3) MPa."""
    equivalent: np.ndarray
    """(m,) von Mises' stress, MPa."""

    def within(self, which: np.ndarray) -> "Stressed":
        return Stressed(*(each[which] for each in vars(self).values()))

    def quantile(self, share: float) -> float:
        """Von Mises' stress that so much of the volume stays below."""
        order = np.argsort(self.equivalent)
        summed = np.cumsum(self.volumes[order]) / self.volumes.sum()
        return float(self.equivalent[order][np.searchsorted(summed, share)])

    def exceeded(self) -> float:
        """Von Mises' stress that 200 mm3 exceed."""
        return exceeded(self.equivalent, self.volumes, self.places).value


class LooseBody:
    """A body of the kernel turned and moved off the grid."""

    def __init__(self, kernel: Manifold, turned: tuple[float, ...], cell: float = 2.0) -> None:
        self._turn = Rotation.from_euler("xyz", turned, degrees=True).as_matrix()
        self._place = np.array([0.33, 0.41, 0.17])
        self.solid = Solid.checked(kernel.transform(np.column_stack([self._turn, self._place])))
        self.grid = voxelise({"body": self.solid}, cell, {"body": math.inf})
        self.cells = cut_cells(self.grid)
        self.body = ElasticBody.of(self.cells, np.array([E, E]), NU)

    def load(self, points: np.ndarray, forces: np.ndarray) -> None:
        """Solve for forces (k, 3) at points (k, 3) of the body's own axes that are in balance."""
        arms = np.abs(np.cross(points, forces).sum(axis=0)).max()
        reach = np.abs(points).max() * np.abs(forces).sum()
        assert np.abs(forces.sum(axis=0)).max() < 1e-6 * np.abs(forces).sum()
        assert arms < 2e-3 * reach
        place = placed(self.cells, points @ self._turn.T + self._place)
        held = Springs(place, np.full(points.shape, _CLOSE * E / len(points)))
        model = ElasticModel(self.body, held)
        self.solved = model.solve(nodal(self.cells, place, forces @ self._turn.T))

    def moved(self, points: np.ndarray) -> np.ndarray:
        """Displacements (k, 3) of points (k, 3), along the body's own axes."""
        place = placed(self.cells, points @ self._turn.T + self._place)
        return place.matrix(self.cells) @ self.solved.moved.reshape(-1, 3) @ self._turn

    def stressed(self) -> Stressed:
        samples, stress = stresses(self.body, self.solved.moved[:, None])
        x, y, z, yz, zx, xy = stress[:, :, 0].T
        tensor = np.moveaxis(np.array([[x, xy, zx], [xy, y, yz], [zx, yz, z]]), 2, 0)
        own = np.einsum("ia,nij,jb->nab", self._turn, tensor, self._turn)
        places = (samples.places - self._place) @ self._turn
        return Stressed(places, samples.volumes, own, von_mises(stress[:, :, 0]))


def grid_of(*sides: tuple[float, int]) -> list[np.ndarray]:
    """Middles of a rectangle's parts: coordinates along each side, from -half to half of its length."""
    lines = [((np.arange(count) + 0.5) / count - 0.5) * length for length, count in sides]
    return [each.ravel() for each in np.meshgrid(*lines, indexing="ij")]
