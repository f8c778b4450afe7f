"""Faces of sub-cells that lie on a hold's back or on the seat of a bolt."""

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices
from holdwright.strength.cell_mesh import CutCells
from holdwright.strength.placing import PlacedPoints, placed_in

BACK = 0.26
"""How far from z = 0 faces of the back may lie, in sub-cells: they lie on it, but for rounding."""


def back_points(cells: CutCells) -> tuple[PlacedPoints, Floats]:
    """Divide the back on z = 0 into points: a quarter of a cell's face each.

    Returns
    -------
    points
        (k,) of them.
    areas
        (k,) what each stands for, mm2.

    Raises
    ------
    GeometryError
        When the hold has no material on z = 0.
    """
    grid = cells.grid
    level = round(-grid.origin[2] / grid.step)
    if not 0 <= level < grid.part.shape[2] or not grid.part[:, :, level].any():
        raise GeometryError(
            "The strength of a hold was asked for that has no flat back on z = 0 to touch its wall with; "
            "trim its back first."
        )
    solid = grid.part[:, :, level] > 0
    if level:
        solid &= grid.part[:, :, level - 1] == 0
    flat = np.argwhere(solid)
    sub_cells = np.column_stack([flat, np.full(len(flat), level)])
    places = grid.origin + grid.step * (sub_cells + np.array([0.5, 0.5, 0.0]))
    weights = grid.fill[tuple(sub_cells.T)] * grid.step**2
    half = max(grid.fine // 2, 1)
    return _gathered_points(cells, sub_cells, places, weights, half)


def seat_points(
    cells: CutCells, middle: tuple[float, float], height: float, inner: float, outer: float
) -> tuple[PlacedPoints, Floats]:
    """Find what a washer or head presses on: faces that look up, in a ring.

    Parameters
    ----------
    middle
        Of the ring, mm.
    height
        Of the seat, mm; a conical one is met up to `outer` - `inner` above and below it.
    inner, outer
        Radii of the ring, mm.

    Returns
    -------
    points
        (k,) of them.
    shares
        (k,) of the ring's area; sum 1.

    Raises
    ------
    GeometryError
        When there is no such face.
    """
    grid = cells.grid
    reach = np.array([outer, outer, max(outer - inner, grid.step)])
    centre = np.array([*middle, height])
    low = np.clip(np.floor((centre - reach - grid.origin) / grid.step).astype(int) - 1, 0, None)
    high = np.ceil((centre + reach - grid.origin) / grid.step).astype(int) + 2
    solid = grid.part[tuple(slice(a, b) for a, b in zip(low, high, strict=True))] > 0
    top = solid.copy()
    top[:, :, :-1] &= ~solid[:, :, 1:]
    sub_cells = np.argwhere(top) + low
    places = grid.origin + grid.step * (sub_cells + np.array([0.5, 0.5, 1.0]))
    away = np.hypot(*(places[:, :2] - centre[:2]).T)
    within = (away >= inner) & (away <= outer) & (np.abs(places[:, 2] - height) <= reach[2] + 1e-6)
    if within.any():  # of several faces one above the other, those next to the seat
        within &= np.abs(places[:, 2] - height) <= _next_to(sub_cells, places[:, 2], within, height) + 1e-6
    if not within.any():
        raise GeometryError(
            f"A bolt's seat was looked for at ({centre[0]:.1f}, {centre[1]:.1f}, {height:.1f}) mm, "
            f"{inner:.1f} to {outer:.1f} mm from the axis, and nothing is there to press on; bore the hold "
            "first, or choose a washer that fits its seat."
        )
    sub_cells, places = sub_cells[within], places[within]
    found, areas = _gathered_points(cells, sub_cells, places, np.ones(len(places)), 1)
    return found, areas / areas.sum()


def _next_to(sub_cells: Indices, heights: Floats, within: np.ndarray, height: float) -> Floats:
    """Distance (n,) from the seat of the nearest face in each one's column."""
    column = sub_cells[:, 0] * (sub_cells[:, 1].max() + 1) + sub_cells[:, 1]
    nearest = np.full(column.max() + 1, np.inf)
    np.minimum.at(nearest, column[within], np.abs(heights[within] - height))
    return np.asarray(nearest[column])


def _gathered_points(
    cells: CutCells, sub_cells: Indices, places: Floats, weights: Floats, width: int
) -> tuple[PlacedPoints, Floats]:
    """Put the faces of a cell that lie in one square of so many sub-cells together."""
    cell = cells.cell_of(sub_cells)
    square = sub_cells // width
    key = np.column_stack([cell, square])
    _, first, group = np.unique(key, axis=0, return_index=True, return_inverse=True)
    group = group.reshape(-1)
    total = np.bincount(group, weights)
    middles = [np.bincount(group, weights * places[:, axis]) / total for axis in range(3)]
    return placed_in(cells, np.column_stack(middles), sub_cells[first]), np.asarray(total, dtype=np.float64)
