"""Stress in a hold from the displacements of its cells, region by region.

In a cell the strain is the truer the nearer to its middle (superconvergence); in cells that the surface
cuts it is rough. So stress is fitted: for each cell and region a linear field by least squares through the
cells round it, weighted by what they hold of the region and by how many nodes they have in common. Regions
are never mixed: where skin lies on infill, stress along the skin jumps. Nor are the two sides of a slit.

References
----------
Zienkiewicz and Zhu, "The superconvergent patch recovery and a posteriori error estimates", Int. J. Numer.
Methods Eng. 33 (1992).
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from holdwright.geometry.arrays import Floats, Indices
from holdwright.progress import SILENT, Progress
from holdwright.strength.cell_grid import WHOLLY, Singles
from holdwright.strength.cell_mesh import CutCells
from holdwright.strength.cell_operator import dofs_of
from holdwright.strength.cell_stiffness import DOFS, cell_matrices, elasticity, strain_matrix
from holdwright.strength.elastic_model import ElasticBody

LEAST = 0.01
"""Of a cell: less of a region in it gives no strain to go by."""

RIDGE = 0.005
"""Holds slopes back where the cells round one hardly tell them, by the weight of those cells."""

OWN = 48.0
"""Weight of a cell for its own stress, where a neighbour has 1 for each node in common: our own measure. A
peak beside a hole four cells in radius then loses 7 to 9 %, where neighbours alone would have it lose 14."""

_CHUNK = 16384


@dataclass(frozen=True, eq=False)
class Samples:
    """Where stress is given: in eighths of cells, apart for each region in them."""

    places: Floats
    """(m, 3) middle of what each stands for, mm."""
    volumes: Floats
    """(m,) of that, mm3."""
    region: Indices
    """(m,) its region, by number in `CellGrid.regions`."""
    cell: Indices
    """(m,) its cell."""


@dataclass(frozen=True, eq=False)
class _Filling:
    """What cells hold of regions, a row for each region in each cell."""

    cell: Indices
    region: Indices
    share: Floats
    """(m,) of the cell's volume."""
    middle: Floats
    """(m, 3) within the cell, from 0 to 1."""
    eighths: Floats
    """(m, 8) share of the cell's volume in each eighth."""
    middles: Floats
    """(m, 8, 3) within the cell."""


def stresses(body: ElasticBody, moved: Floats, progress: Progress = SILENT) -> tuple[Samples, Singles]:
    """Give the stress in a hold.

    Parameters
    ----------
    body
        Its stiffness.
    moved
        (3 n, c) displacements of its nodes for each case of load, mm.

    Returns
    -------
    samples
        Where.
    stress
        (m, 6, c) xx, yy, zz, yz, zx, xy, MPa: of what infill is smeared into, not of its walls.
    """
    cells = body.cells
    filling = _filling(cells)
    progress.report(0.2, "reckoning stress")
    strains = _strains(body, filling, moved)
    stiff = elasticity(body.poisson)
    raw = np.einsum("ij,mjc->mic", stiff, strains) * body.moduli[filling.region, None, None]
    progress.report(0.5, "reckoning stress")
    constant, slopes = _fitted(cells, filling, raw)
    progress.report(0.8, "reckoning stress")
    row, eighth = np.nonzero(filling.eighths > 0.0)
    away = filling.middles[row, eighth] - filling.middle[row]
    stress = constant[row] + np.einsum("mx,mxic->mic", away.astype(np.float32), slopes[row])
    grid = cells.grid
    places = grid.origin + grid.cell * (cells.mesh.index[filling.cell[row]] + filling.middles[row, eighth])
    samples = Samples(
        places,
        filling.eighths[row, eighth] * grid.cell**3,
        filling.region[row],
        filling.cell[row],
    )
    return samples, stress


def _filling(cells: CutCells) -> _Filling:
    """Measure what cells hold of each region, in eighths."""
    n, grid = cells.grid.fine, cells.grid
    first = tuple((cells.mesh.index[: cells.plain] * n).T)
    skin = 2 * grid.skin[first].astype(np.int64) >= WHOLLY
    halves = np.array([0.25, 0.75])
    corners = np.stack(np.meshgrid(halves, halves, halves, indexing="ij"), axis=-1).reshape(8, 3)
    count = cells.plain
    parts = [
        _Filling(
            np.arange(count),
            2 * (grid.part[first].astype(np.int64) - 1) + np.where(skin, 0, 1),
            np.ones(count),
            np.full((count, 3), 0.5),
            np.full((count, 8), 0.125),
            np.broadcast_to(corners, (count, 8, 3)),
        )
    ]
    line = (np.arange(n) + 0.5) / n
    points = np.stack(np.meshgrid(line, line, line, indexing="ij"), axis=-1).reshape(-1, 3)
    which = (points >= 0.5) @ np.array([4, 2, 1])
    sums = np.zeros((n**3, 8, 4))
    sums[np.arange(n**3), which] = np.column_stack([np.ones(n**3), points])
    for region in range(len(grid.regions)):
        choice = np.zeros(len(grid.regions))
        choice[region] = 1.0
        for start in range(0, len(cells.weights), _CHUNK):
            rows = np.arange(start, min(start + _CHUNK, len(cells.weights)))
            volumes = cells.moduli_of(rows, choice) / n**3
            rows, volumes = rows[volumes.sum(axis=1) > LEAST], volumes[volumes.sum(axis=1) > LEAST]
            moments = (volumes @ sums.reshape(n**3, -1)).reshape(len(rows), 8, 4)
            eighths, whole = moments[:, :, 0], moments.sum(axis=1)
            some = np.where(eighths > 0.0, eighths, 1.0)
            parts.append(
                _Filling(
                    cells.plain + rows,
                    np.full(len(rows), region),
                    whole[:, 0],
                    whole[:, 1:] / whole[:, :1],
                    eighths,
                    moments[:, :, 1:] / some[:, :, None],
                )
            )
    return _Filling(
        *(np.concatenate(each) for each in zip(*(vars(part).values() for part in parts), strict=True))
    )


def _strains(body: ElasticBody, filling: _Filling, moved: Floats) -> Floats:
    """Strain (m, 6, c) in the middle of each region in each cell."""
    cells, side = body.cells, body.cells.grid.cell
    answer = np.empty((len(filling.cell), 6, moved.shape[1]))
    middles = cell_matrices(cells.grid.fine, body.poisson).middles
    middle = strain_matrix(np.full((1, 3), 0.5))[0, :, :DOFS]
    for start in range(0, len(filling.cell), _CHUNK):
        part = slice(start, start + _CHUNK)
        cell = filling.cell[part]
        corners = moved[dofs_of(cells.mesh.nodes[cell])]
        if cell[-1] < cells.plain:
            answer[part] = middle @ corners
            continue
        matrix = strain_matrix(filling.middle[part])
        answer[part] = matrix[:, :, :DOFS] @ corners
        other = cell - cells.plain
        cut = np.flatnonzero(other >= 0)
        weights = cells.weights[other[cut]]
        whole = (weights @ middles) / weights.sum(axis=1)[:, None]
        modes = body.modes[other[cut]] @ corners[cut]
        strains = matrix[cut][:, :, DOFS:] - strain_matrix(whole)[:, :, DOFS:]
        answer[part][cut] += strains @ modes
    return answer / side


def _fitted(cells: CutCells, filling: _Filling, raw: Floats) -> tuple[Singles, Singles]:
    """Fit linear fields round each row: values (m, 6, c) in the middles, slopes (m, 3, 6, c)."""
    cases = raw.shape[2]
    constant = np.empty((len(raw), 6, cases), dtype=np.float32)
    slopes = np.empty((len(raw), 3, 6, cases), dtype=np.float32)
    for region in np.unique(filling.region):
        rows = np.flatnonzero(filling.region == region)
        places = cells.mesh.index[filling.cell[rows]] + filling.middle[rows]
        places -= places.mean(axis=0)
        terms = np.column_stack([np.ones(len(rows)), places])
        weighted = terms * filling.share[rows, None]
        values = raw[rows].reshape(len(rows), -1)
        nodes = cells.mesh.nodes[filling.cell[rows]]
        squares = _gathered(nodes, cells.mesh.node_count, weighted, terms)
        products = _gathered(nodes, cells.mesh.node_count, weighted, values)
        # Seen from the row's own middle: the terms (1, x - own) are shift @ (1, x).
        shift = np.tile(np.eye(4), (len(rows), 1, 1))
        shift[:, 1:, 0] = -places
        squares = shift @ squares @ np.swapaxes(shift, 1, 2)
        squares[:, (1, 2, 3), (1, 2, 3)] += RIDGE * squares[:, :1, 0]
        found = np.linalg.solve(squares, shift @ products)
        constant[rows] = found[:, 0].reshape(-1, 6, cases)
        slopes[rows] = found[:, 1:].reshape(-1, 3, 6, cases)
    return constant, slopes


def _gathered(nodes: Indices, count: int, weighted: Floats, values: Floats) -> Floats:
    """Sum products of terms (m, 4) and values (m, k) over the rows that share nodes (m, 8): (m, 4, k)."""
    products = (weighted[:, :, None] * values[:, None, :]).reshape(len(nodes), -1)
    starts = np.arange(0, nodes.size + 1, 8, dtype=np.int32)
    corners = csr_array(
        (np.ones(nodes.size), nodes.ravel().astype(np.int32), starts), shape=(len(nodes), count)
    )
    summed = corners @ (corners.T.tocsr() @ products) + OWN * weighted[:, :1] * products
    return np.asarray(summed).reshape(len(nodes), 4, -1)
