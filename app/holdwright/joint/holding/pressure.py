"""How a hold presses on its wall: under cones from its bolts, with its resultant through them, never pulling.

A clamp spreads through a hold like a cone and hardly presses beyond it, whatever the size of the back: so
pressure is w (a + b x + c y) where that is positive, none elsewhere. The weight w falls with the distance r
from a bolt as 35 to the power of -(r / reach)^2, and its sum over what really touches is the bolt's share of
the clamp. So it never ends: where the back is relieved under the bolt, the inner edge of the land carries.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.columns import Grid
from holdwright.joint.outline import Outlines, coverage

FADE = 35.0
"""Pressure on a bolt's axis by that at the edge of its cone: our own measure, the one that comes nearest to
elastic contact without tension (tests/outside/test_elastic_contact.py: within 14 % for a seat 15 to 60 mm
above the wall under a washer of 20 to 40 mm, with or without a relieved back)."""

LEAST = 1e-6
"""Weight of all that touches, by that on the axis: a bolt far from the land of a relieved back still rests on
it all round."""

WIDER = 1.15
"""Reach of a cone for what presses under a load, by that of the clamp alone: our own measure, see
`overturning.py`."""

TURNS = 24
"""Directions in which a kern is computed: between them it is at most 1 % farther."""

PATCHES = 6_000
"""A contact is divided into about so many squares at most."""

FINEST = 1.0
"""Least side of such a square, mm."""

_ANGLES = np.arange(TURNS) * (2.0 * np.pi / TURNS)
TOWARD = np.stack([np.cos(_ANGLES), np.sin(_ANGLES)], axis=1)
"""(`TURNS`, 2) those directions."""

_MOST_STEPS = 80
_CLOSE = 1e-10
_STEEPEST = 1e9


@dataclass(frozen=True)
class ClampCone:
    """What a bolt presses through: the place of its axis on the wall and its reach there, mm."""

    x: float
    y: float
    reach: float
    """As of `reach_of`."""
    hole: float = 0.0
    """Radius of its hole, mm, within which nothing presses."""
    pressing: float = 0.0
    """Radius of washer or head, mm."""


@dataclass(frozen=True, eq=False)
class Patches:
    """A contact divided into squares: their middles (n, 2) and how much of each touches (n,), mm and mm2."""

    grid: Grid
    cells: Floats
    """(rows, columns) of the grid: how much of each square touches, mm2."""
    places: Floats
    areas: Floats

    @classmethod
    def of(cls, outlines: Outlines, step: float) -> "Patches":
        """Divide what outlines enclose into squares of side `step`."""
        points = np.concatenate(list(outlines))
        grid = Grid.over(points.min(axis=0), points.max(axis=0), step)
        cells = coverage(outlines, grid)
        x, y = grid.places
        touches = cells > 0.0
        return cls(grid, cells, np.stack([x[touches], y[touches]], axis=1), cells[touches])

    @classmethod
    def within(cls, outlines: Outlines) -> "Patches":
        """Divide what outlines enclose into about `PATCHES` squares."""
        area = float(np.prod(np.ptp(np.concatenate(list(outlines)), axis=0)))
        return cls.of(outlines, max(FINEST, math.sqrt(area / PATCHES)))

    def weights(self, x: Floats, y: Floats, reach: Floats, hole: float) -> Floats:
        """Weights (m, n) of all patches for each of m bolts, sum 1; 0 where nothing touches past the hole."""
        square = np.subtract.outer(x, self.places[:, 0]) ** 2
        square += np.subtract.outer(y, self.places[:, 1]) ** 2
        fade = square * (-math.log(FADE) / np.square(reach))[:, None]
        weights = np.maximum(np.exp(fade - fade.max(axis=1, keepdims=True)), LEAST) * self.areas
        if hole > 0.0:
            weights *= np.clip((np.sqrt(square) - hole) / self.grid.step + 0.5, 0.0, 1.0)
        total = weights.sum(axis=1, keepdims=True)
        return np.asarray(np.divide(weights, total, out=np.zeros_like(weights), where=total > 0.0))


@dataclass(frozen=True, eq=False)
class Pressure:
    """The pressure on the wall for a clamp of 1 N, origin as of its outlines."""

    grid: Grid
    field: Floats
    """(rows, columns) of the grid, 1 / mm2; 0 where nothing touches."""
    share: float
    """Share of the contact's area that presses with 1 / 35 of the highest pressure or more."""
    friction_radius: float
    """Mean distance from the middle of the bolts, weighted by pressure, mm: friction torque is mu F times
    this."""


def settle(outlines: Outlines, cones: Sequence[ClampCone]) -> Pressure:
    """Find the pressure under bolts that pull alike.

    Parameters
    ----------
    outlines
        Of what touches, mm.
    cones
        Of the bolts.

    Raises
    ------
    GeometryError
        When the contact does not surround the middle of the bolts: no pressure balances it, and the hold
        rocks.
    """
    patches = Patches.within(outlines)
    x, y, reach = _columns(cones)
    weights = patches.weights(x, y, reach, cones[0].hole).mean(axis=0, keepdims=True)
    carried, radii = balanced(patches, weights, np.array([[x.mean(), y.mean()]]))
    if not radii[0] > 0.0:
        raise rocks()
    field = np.zeros(patches.grid.shape)
    pressure = carried[0] / patches.areas
    field[patches.cells > 0.0] = pressure
    pressed = patches.areas[pressure >= pressure.max() / FADE].sum() / patches.areas.sum()
    return Pressure(patches.grid, field, float(pressed), float(radii[0]))


def kern(outlines: Outlines, cones: Sequence[ClampCone]) -> Floats:
    """Give the kern (`TURNS`, 2) of bolts that pull alike, origin at their middle; as of `kerns_of`."""
    patches = Patches.within(outlines)
    x, y, reach = _columns(cones)
    weights = patches.weights(x, y, WIDER * reach, cones[0].hole).mean(axis=0, keepdims=True)
    found = kerns_of(patches, weights, np.zeros((1, 2)), farthest_back(cones, TOWARD)[None])
    return np.asarray(found[0])


def kerns_of(patches: Patches, weights: Floats, middles: Floats, backs: Floats) -> Floats:
    """Give where resultants go through with which the gap has just reached a washer, (m, `TURNS`, 2).

    Parameters
    ----------
    weights
        (m, n) of the patches, under cones `WIDER` than those of the clamp.
    middles
        (m, 2) of the bolts, mm.
    backs
        (m, `TURNS`) how far along each direction the washers begin, seen from the middle, mm.
    """
    found = np.empty((len(middles), TURNS, 2))
    pressure = np.empty(weights.shape)
    moments = np.column_stack([patches.places, np.ones(len(patches.places))])
    for turn, toward in enumerate(TOWARD):
        behind = middles @ toward + backs[:, turn]
        # In one array throughout: there are millions of figures.
        np.subtract.outer(-behind, -(patches.places @ toward), out=pressure)
        np.maximum(pressure, 0.0, out=pressure)
        pressure *= weights
        summed = pressure @ moments
        total = summed[:, 2:]
        none = middles + backs[:, turn, None] * toward  # where nothing else touches
        places = np.divide(summed[:, :2], total, out=none, where=total > 0.0)
        found[:, turn] = places - middles
    return found


def farthest_back(cones: Sequence[ClampCone], toward: Floats) -> Floats:
    """Give how far along directions (k, 2) the washers begin, (k,) in mm."""
    return np.asarray(np.min([toward @ (cone.x, cone.y) - cone.pressing for cone in cones], axis=0))


def _columns(cones: Sequence[ClampCone]) -> list[Floats]:
    return [np.array([getattr(cone, name) for cone in cones]) for name in ("x", "y", "reach")]


def rocks() -> GeometryError:
    """Say that no pressure balances the bolts."""
    return GeometryError(
        "The hold's contact with the wall does not surround its bolt, so that it would rock however "
        "hard it is tightened; move the bore toward the middle of the back."
    )


def balanced(patches: Patches, weights: Floats, middles: Floats) -> tuple[Floats, Floats]:
    """Find what each patch carries (m, n) for a clamp of 1 N, and the friction radii (m,), mm.

    Parameters
    ----------
    weights
        (m, n) of the patches.
    middles
        (m, 2) where the resultants go through; a radius is 0 where the contact does not surround it.

    Notes
    -----
    With p = w max(0, a + b x + c y), force and moments balance where a convex function of (a, b, c) is least:
    Newton's method with halved steps.
    """
    size = float(np.abs(patches.places).max())
    phi = np.column_stack([np.ones(len(patches.places)), patches.places / size])
    products = (phi[:, :, None] * phi[:, None, :]).reshape(-1, 9)
    targets = np.column_stack([np.ones(len(middles)), middles / size])

    def at(rows: Indices, planes: Floats) -> tuple[Floats, Floats]:
        """Give the function and its second derivative."""
        matrix = ((weights[rows] * (planes @ phi.T > 0.0)) @ products).reshape(-1, 3, 3)
        bent = np.einsum("mi,mij,mj->m", planes, matrix, planes)
        return bent / 2.0 - np.einsum("mi,mi->m", planes, targets[rows]), matrix

    rows: Indices = np.flatnonzero(weights.any(axis=1))
    planes = np.tile([1.0, 0.0, 0.0], (len(middles), 1))
    values, matrix = at(rows, planes[rows])
    for _ in range(_MOST_STEPS):
        slopes = np.einsum("mij,mj->mi", matrix, planes[rows]) - targets[rows]
        open_ = (np.abs(slopes).max(axis=1) > _CLOSE) & (np.abs(planes[rows]).max(axis=1) < _STEEPEST)
        rows, slopes, matrix, values = rows[open_], slopes[open_], matrix[open_], values[open_]
        if not len(rows):
            break
        ridge = 1e-14 * np.trace(matrix, axis1=1, axis2=2)[:, None, None] * np.eye(3)
        steps = -np.linalg.solve(matrix + ridge, slopes[:, :, None])[:, :, 0]
        falls = np.einsum("mi,mi->m", slopes, steps)
        lengths = np.ones(len(rows))
        for _ in range(30):
            tried, matrix = at(rows, planes[rows] + lengths[:, None] * steps)
            short = tried > values + 1e-4 * lengths * falls + 1e-13
            if not short.any():
                break
            lengths[short] /= 2.0
        planes[rows] += lengths[:, None] * steps
        values = tried
    carried = weights * np.maximum(planes @ phi.T, 0.0)
    short = np.abs(carried @ phi - targets).max(axis=1) > 1e-6
    x_off, y_off = (np.subtract.outer(middles[:, axis], patches.places[:, axis]) for axis in (0, 1))
    radii = np.einsum("mn,mn->m", carried, np.hypot(x_off, y_off))
    return carried, np.where(short, 0.0, radii)
