"""A loaded hold solved: stress, deflection, and the surface of what bears most."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np
from scipy.ndimage import distance_transform_edt, label
from scipy.spatial import KDTree

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.progress import Progress
from holdwright.strength.back_and_seat import seat_points
from holdwright.strength.breaking_load import CaseStress, borne_by
from holdwright.strength.cell_choice import check_cells
from holdwright.strength.cell_grid import CellGrid, voxelise
from holdwright.strength.cell_mesh import CutCells, cut_cells
from holdwright.strength.elastic_model import ElasticBody
from holdwright.strength.load_cases import PatchLoad, cut_up
from holdwright.strength.loaded_hold import LoadedHold, TightenedBolt
from holdwright.strength.measure import exceeded, von_mises
from holdwright.strength.placing import nodal, placed
from holdwright.strength.printed_parts import PrintedPart
from holdwright.strength.strength_index import Borne
from holdwright.strength.stress import stresses
from holdwright.strength.wall_contact import MountedHold, PulledSeat

POISSON: Final = 0.36
"""Of rigid plastics: from memory, 0.35 to 0.38."""

CORNERS: Final = 1.75
"""How far a corner reaches from the middle of the ball that fits into it, by its radius: at most, nearly."""

BESIDE: Final = 1.2
"""What of the surface is drawn as bearing most: no farther from its samples than so many times their side."""

MOST_LOOSE: Final = 0.02
"""Share of the material that may lie apart from the rest: crumbs that a cut has left."""


@dataclass(frozen=True, eq=False)
class SolvedHold:
    """A hold under its loads."""

    patches: Sequence[PatchLoad]
    """The loads."""
    stress: tuple[CaseStress, ...]
    """Under each."""
    deflections: tuple[float, ...]
    """Of each patch along its load, mm, against the hold just tightened."""
    own: tuple[float, ...]
    """Share of each that the hold gives; the rest are wall and bolts."""
    grid: CellGrid
    cells: int
    """How many there are."""
    loose: float
    """Share of the material that was left out, since it hangs together with nothing else."""
    steps: int
    """Iterations it took, all loads together."""

    @property
    def regions(self) -> tuple[str, ...]:
        """Names of what has a modulus of its own."""
        return self.grid.regions

    def von_mises(self, case: int) -> float:
        """Give the equivalent stress that 200 mm3 exceed under a load, MPa."""
        stress = self.stress[case]
        return exceeded(von_mises(stress.loaded.astype(np.float64)), stress.volumes, stress.places).value

    @cached_property
    def thin(self) -> float:
        """Share of the volume in walls under three cells: what a ball of that width does not fit into."""
        return thin_share(self.grid)

    def hot_surface(self, case: int, borne: Borne, direction: Floats, surface: Mesh) -> Mesh:
        """Give the surface of the volume that bears most where a load breaks the hold, mm.

        What of the hold's `surface` lies beside it, and its inner cubes, to be seen where the hold is cut
        open.
        """
        stress, side = self.stress[case], self.grid.cell / 2.0
        found, _ = stress.used(stress.breaks_at(borne, direction), borne, direction)
        hot = stress.places[found.hottest]
        reach = float(np.linalg.norm(hot - found.place, axis=1).max()) + self.grid.cell
        near = surface.near(found.place - reach, found.place + reach)
        corners = cut_up(near.corners, found.place, reach, side)
        outside = corners.mean(axis=1)
        beside = KDTree(hot).query(outside)[0] < BESIDE * side
        # Cubes at the surface would stick out of it.
        inner = KDTree(outside).query(hot)[0] > side if len(outside) else np.ones(len(hot), dtype=np.bool_)
        cubes = np.unique(np.round((hot[inner] - self.grid.origin) / side - 0.5).astype(np.int64), axis=0)
        drawn = [Mesh.of_corners(corners[beside])]
        return Mesh.joined([*drawn, _boxes(cubes, self.grid.origin, side)] if len(cubes) else drawn)


def solve_hold(
    loaded: LoadedHold,
    parts: Mapping[str, PrintedPart],
    patches: Sequence[PatchLoad],
    cell: float,
    progress: Progress,
) -> SolvedHold:
    """Solve a hold under loads.

    Raises
    ------
    GeometryError
        When the cells are too many or too coarse, or the solution does not converge.
    Cancelled
        When that is requested.
    """
    check_cells(loaded, cell)
    skins = {name: math.inf if each.is_solid else each.skin for name, each in parts.items()}
    grid, loose = in_one_piece(voxelise(loaded.parts, cell, skins, progress=progress.part(0.0, 0.15)))
    cells = cut_cells(grid)
    body = ElasticBody.of(cells, _moduli(grid, parts), POISSON, progress.part(0.15, 0.25))
    bolts = [_seat(cells, bolt) for bolt in loaded.bolts]
    mounted = MountedHold(body, loaded.wall, bolts, progress=progress.part(0.3, 0.45))
    places = [placed(cells, patch.points) for patch in patches]
    forces = [
        nodal(cells, place, patch.shares[:, None] * patch.force)
        for place, patch in zip(places, patches, strict=True)
    ]
    pulled = mounted.loaded(forces, progress.part(0.45, 0.85))
    moved = np.column_stack([mounted.tightened.moved, pulled.moved])
    samples, stress = stresses(body, moved, progress.part(0.85, 1.0))
    washers = np.zeros(len(samples.volumes), dtype=np.bool_)
    for bolt in loaded.bolts:
        washers |= bolt.near_washer(samples.places)
    borne = borne_by(grid.regions, samples.region, parts)
    found, deflections, own = [], [], []
    for number, (patch, place) in enumerate(zip(patches, places, strict=True), start=1):
        volumes = np.where(washers | patch.enters_at(samples.places), 0.0, samples.volumes)
        found.append(
            CaseStress.of(
                samples.places, volumes, samples.region, stress[:, :, 0], stress[:, :, number], borne
            )
        )
        way = moved[:, number] - moved[:, 0]
        deflection = float(patch.shares @ (place.matrix(cells) @ way.reshape(-1, 3)) @ patch.direction)
        deflections.append(deflection)
        own.append(body.work(way) / (float(np.linalg.norm(patch.force)) * deflection))
    return SolvedHold(
        patches,
        tuple(found),
        tuple(deflections),
        tuple(own),
        grid,
        len(cells.mesh.index),
        loose,
        pulled.steps,
    )


def thin_share(grid: CellGrid, cells: float = 3.0) -> float:
    """Give the share of the material in walls thinner than so many cells: opened by a ball as wide."""
    solid = np.pad(grid.part[::2, ::2, ::2] > 0, 1)
    radius = cells * grid.fine / 2.0 / 2.0
    # A sub-cell's middle lies half of it inside the surface.
    inner = distance_transform_edt(solid) >= radius + 0.5
    if not inner.any():
        return 1.0
    opened = distance_transform_edt(~inner) <= CORNERS * radius + 0.5
    return float(np.count_nonzero(solid & ~opened) / np.count_nonzero(solid))


def in_one_piece(grid: CellGrid) -> tuple[CellGrid, float]:
    """Leave out what does not hang together with the largest piece, and give its share of the material.

    Raises
    ------
    GeometryError
        When that is more than `MOST_LOOSE`.
    """
    pieces, count = label(grid.part > 0)
    if count <= 1:
        return grid, 0.0
    sizes = np.bincount(pieces.ravel(), grid.fill.ravel())
    largest = int(sizes[1:].argmax()) + 1
    loose = 1.0 - float(sizes[largest] / sizes[1:].sum())
    if loose > MOST_LOOSE:
        raise GeometryError(
            f"On cells of {grid.cell:.3g} mm the hold falls into pieces, {loose:.0%} of it apart from the "
            f"largest; ask for finer cells, or mend the hold where it hardly hangs together."
        )
    kept = pieces == largest
    return replace(
        grid,
        fill=np.where(kept, grid.fill, np.float32(0.0)),
        part=np.where(kept, grid.part, np.uint8(0)),
        skin=np.where(kept, grid.skin, np.uint8(0)),
    ), loose


def _moduli(grid: CellGrid, parts: Mapping[str, PrintedPart]) -> Floats:
    """Give the likely modulus of each region, MPa."""
    moduli = []
    for name in grid.regions:
        part, kind = name.rsplit(" ", 1)
        printed = parts[part]
        moduli.append(printed.modulus.likely * (printed.infill_modulus.likely if kind == "infill" else 1.0))
    return np.array(moduli)


def _boxes(index: Indices, origin: Floats, side: float) -> Mesh:
    """Give the outer faces of cubes (n, 3) of a grid."""
    low = index.min(axis=0)
    filled = np.zeros(index.max(axis=0) - low + 3, dtype=np.bool_)
    filled[tuple((index - low + 1).T)] = True
    faces, units = [], np.eye(3, dtype=np.int64)
    for axis in range(3):
        along, u, v = (units[(axis + turn) % 3] for turn in range(3))
        for ahead in (False, True):
            bare = np.argwhere(filled & ~np.roll(filled, -1 if ahead else 1, axis=axis)) + along * ahead
            ring = (bare, bare + u, bare + u + v, bare + v)
            a, b, c, d = ring if ahead else ring[::-1]
            faces += [np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]
    return Mesh.of_corners(origin + side * (np.concatenate(faces) + low - 1))


def _seat(cells: CutCells, bolt: TightenedBolt) -> PulledSeat:
    """Let a bolt pull on its seat."""
    x, y, height = bolt.seat.tolist()
    place, shares = seat_points(cells, (x, y), height, bolt.hole / 2.0, bolt.pressing / 2.0)
    return PulledSeat(place, shares, bolt.pull, bolt.stiffness)
