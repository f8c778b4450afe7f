"""The loads that a hold's strength is computed for: the joint's, each spread over what a hand covers."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.joint.holding.loadable import STEEPEST
from holdwright.joint.holding.loads import Load, Loads

PATCH: Final = 30.0
"""Diameter over which a load is spread, mm: about what two finger tips cover; common practice, no source."""

APART: Final = 20.0
TURNED: Final = 45.0
"""A candidate nearer than this to a worse one (mm), with its load turned by less (degrees), is left out."""

FINEST: Final = 3.0
"""A patch is cut into triangles with sides no longer than this, mm."""


@dataclass(frozen=True, eq=False)
class PatchLoad:
    """A force spread over a patch of the surface."""

    force: Floats
    """(3,) N."""
    middle: Floats
    """(3,) mm: the point that the joint is loaded at."""
    points: Floats
    """(n, 3) on the surface, mm."""
    shares: Floats
    """(n,) of the force; they add up to 1."""

    @property
    def direction(self) -> Floats:
        """Unit vector of the force."""
        return np.asarray(self.force / np.linalg.norm(self.force))

    def enters_at(self, points: Floats, margin: float = 0.0) -> Mask:
        """Tell which points (n, 3) lie where the load enters: the measure leaves them out."""
        away = points - self.middle
        reach = PATCH / 2.0 + margin
        return np.asarray(np.einsum("ij,ij->i", away, away) <= reach * reach)


def candidate_loads(loads: Loads, middle: Floats, load: Load, most: int) -> list[tuple[Floats, Floats]]:
    """Choose those that tilt the hold most about its bolts, apart from each other.

    Parameters
    ----------
    loads
        All outermost loadable points by direction, as the joint has them.
    middle
        (2,) of the bolts on the wall, mm.
    load
        Along the wall and off it, N.

    Returns
    -------
    list
        Force (3,) in N and point (3,) in mm of at most so many loads, the greatest moment first.
    """
    forces = np.column_stack([load.along * loads.directions, np.full(len(loads.directions), load.outward)])
    arms = loads.points - (*middle, 0.0)
    moments = np.linalg.norm(np.cross(arms, forces), axis=1)
    units = forces / np.linalg.norm(forces, axis=1)[:, None]
    chosen: list[int] = []
    for number in np.argsort(-moments, kind="stable").tolist():
        near = [
            other
            for other in chosen
            if np.linalg.norm(loads.points[other] - loads.points[number]) < APART
            and units[other] @ units[number] > cos(radians(TURNED))
        ]
        if not near:
            chosen.append(number)
        if len(chosen) == most:
            break
    return [(forces[number], loads.points[number]) for number in chosen]


def patch_load(surface: Mesh, force: Floats, middle: Floats) -> PatchLoad:
    """Spread a force over the surface round a point, by how squarely that faces it.

    Parameters
    ----------
    surface
        What can be gripped, outward, mm.
    force, middle
        (3,) N and (3,) mm.

    Notes
    -----
    Where nothing within the patch faces the load, all of its surface takes it alike.
    """
    reach = PATCH / 2.0
    near = surface.near(middle - reach, middle + reach)
    corners = cut_up(near.corners, middle, reach)
    middles = corners.mean(axis=1)
    crosses = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2.0
    areas = np.linalg.norm(crosses, axis=1)
    away = middles - middle
    inside = (np.einsum("ij,ij->i", away, away) <= reach * reach) & (areas > 0.0)
    unit = force / np.linalg.norm(force)
    facing = -(crosses @ unit)
    weights = np.where(inside & (facing > areas * cos(radians(STEEPEST))), facing, 0.0)
    if not weights.any():
        weights = np.where(inside, areas, 0.0)
    if not weights.any():
        return PatchLoad(force, middle, middle[None, :], np.ones(1))
    kept = weights > 0.0
    return PatchLoad(force, middle, middles[kept], weights[kept] / weights[kept].sum())


def patch_loads(surface: Mesh, chosen: Sequence[tuple[Floats, Floats]]) -> list[PatchLoad]:
    """Spread each of some forces (3,) over the surface round its point (3,)."""
    return [patch_load(surface, force, middle) for force, middle in chosen]


def cut_up(corners: Floats, middle: Floats, reach: float, finest: float = FINEST) -> Floats:
    """Halve triangles (n, 3, 3) at their longest side until those within reach of a point are small, mm."""
    done = []
    while len(corners):
        sides = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
        # What cannot reach into the patch is let go at once, so that a large triangle costs little.
        centre = corners.mean(axis=1)
        extent = np.linalg.norm(corners - centre[:, None], axis=2).max(axis=1)
        corners, sides = (
            each[np.linalg.norm(centre - middle, axis=1) <= reach + extent] for each in (corners, sides)
        )
        short = sides.max(axis=1) <= finest if len(corners) else np.zeros(0, dtype=bool)
        done.append(corners[short])
        corners, longest = corners[~short], sides[~short].argmax(axis=1)
        rows = np.arange(len(corners))
        a, b, c = (corners[rows, (longest + turn) % 3] for turn in range(3))
        half = (a + b) / 2.0
        corners = np.concatenate([np.stack([a, half, c], axis=1), np.stack([half, b, c], axis=1)])
    return np.concatenate([np.empty((0, 3, 3)), *done])
