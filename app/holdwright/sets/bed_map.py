"""A bed as a map of cells, on which outlines are laid one after the other: in milliseconds, and fairly dense.

Where an outline is free to lie, and how much of its border touches others there, is found for all places at
once, as correlations of maps by the fast Fourier transform.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.fft import irfft2, next_fast_len, rfft2
from scipy.ndimage import binary_dilation

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.measure.footprint import grown
from holdwright.geometry.measure.outline_clearance import inside

CELL: Final = 2.0
"""Side of a cell, mm."""

NEAR: Final = 2
"""Cells about an outline that are looked at for neighbours."""

DETAIL: Final = 1.0
"""What an outline on a map may lie outside the true one, mm."""


@dataclass(frozen=True)
class MapSize:
    """What all maps of one bed share.

    An outline takes the cells whose middles lie within half the gap and half a cell's diagonal of it: where
    two outlines are nearer than the gap, both take the cell that holds the point halfway between them.
    """

    room: tuple[float, float]
    """Width and depth of what may be covered, mm."""
    gap: float
    """Between outlines, mm."""

    @property
    def reach(self) -> float:
        """How far about an outline cells are taken, mm."""
        return self.gap / 2.0 + CELL / math.sqrt(2.0)

    @property
    def edge(self) -> int:
        """Cells of the map on each side of the room."""
        return int(np.ceil((self.reach + DETAIL) / CELL)) + NEAR

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        width, depth = (next_fast_len(int(np.ceil(side / CELL)) + 2 * self.edge + 1) for side in self.room)
        return depth, width


@dataclass(frozen=True, eq=False)
class TurnedShape:
    """An outline at one turn."""

    turn: float
    low: tuple[float, float]
    """Its least x and y, turned about its own origin, mm."""
    size: tuple[float, float]
    """Width and depth, mm."""
    taken: Mask
    """(rows, columns) of the cells it takes when its least corner is that of the room."""
    spectrum: Floats
    border: Floats
    """spectrum, border: of those, and of the `NEAR` cells about them as shares of 1; complex."""


def turned_shapes(outline: Floats, turns: Sequence[float], size: MapSize) -> list[TurnedShape]:
    """Give an outline (n, 2) at all turns (degrees) at which it has room."""
    wide = grown(outline, size.reach, DETAIL)
    shapes = []
    for turn in turns:
        angle = np.radians(turn)
        cos, sin = np.cos(angle), np.sin(angle)
        turned, about = (each @ np.array([[cos, sin], [-sin, cos]]) for each in (outline, wide))
        low, span = turned.min(axis=0), np.ptp(turned, axis=0)
        if (span > size.room).any():
            continue
        columns, rows = (int(np.ceil(each / CELL)) + 2 * size.edge for each in span)
        x, y = ((np.arange(count) - size.edge + 0.5) * CELL for count in (columns, rows))
        middles = np.stack(np.meshgrid(x + low[0], y + low[1]), axis=-1).reshape(-1, 2)
        taken = inside(about, middles).reshape(rows, columns)
        border = binary_dilation(taken, iterations=NEAR) & ~taken
        spectrum, edge = (np.conj(rfft2(each.astype(np.float32), size.shape)) for each in (taken, border))
        corner, sides = (float(low[0]), float(low[1])), (float(span[0]), float(span[1]))
        shapes.append(TurnedShape(turn, corner, sides, taken, spectrum, edge / border.sum()))
    return shapes


class BedMap:
    """What of a bed is taken."""

    def __init__(self, size: MapSize) -> None:
        self._size = size
        self._taken = np.zeros(size.shape, np.float32)
        self._walls = np.ones(size.shape, np.float32)
        columns, rows = (int(side / CELL) for side in size.room)
        self._walls[size.edge : size.edge + rows, size.edge : size.edge + columns] = 0.0

    def lay(self, shapes: Sequence[TurnedShape]) -> tuple[float, tuple[float, float]] | None:
        """Lay an outline, at one of its turns, where most of its border touches others or the bed's edge.

        Returns
        -------
        turn, shift
            Degrees, and what is added to the turned outline in mm from the room's corner; None where it is
            free nowhere.
        """
        size = self._size
        met = irfft2(np.stack([each.spectrum for each in shapes]) * rfft2(self._taken), size.shape)
        around = rfft2(np.maximum(self._taken, self._walls))
        touched = irfft2(np.stack([each.border for each in shapes]) * around, size.shape)
        best: tuple[float, TurnedShape, int, int] | None = None
        for shape, hits, share in zip(shapes, met, touched, strict=True):
            columns, rows = (
                int((room - span) / CELL) + 1 for room, span in zip(size.room, shape.size, strict=True)
            )
            rated = np.where(hits[:rows, :columns] < 0.5, share[:rows, :columns], -1.0)
            row, column = divmod(int(rated.argmax()), columns)
            if rated[row, column] > (best[0] if best else -1.0):
                best = float(rated[row, column]), shape, row, column
        if best is None:
            return None
        _, shape, row, column = best
        height, width = shape.taken.shape
        self._taken[row : row + height, column : column + width] += shape.taken
        return shape.turn, (column * CELL - shape.low[0], row * CELL - shape.low[1])
