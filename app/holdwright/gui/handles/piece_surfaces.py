"""The surfaces of the raw sculpt's pieces, to be pointed at and drawn over."""

from collections.abc import Sequence
from functools import cached_property
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.gui.handles.shapes import Mesh
from holdwright.gui.handles.silhouette import thicker
from holdwright.gui.viewport.picking import Probe
from holdwright.gui.viewport.polydata import thinned
from holdwright.pipeline.display_results import Surface
from holdwright.pipeline.raw_survey import RawSurvey

CELLS: Final = 80
DRAWN: Final = 20_000
"""More triangles than this are drawn coarsely, so many cells along their extent."""

THICKER: Final = 0.003
"""How much a piece is drawn thicker than it is, as a share of the sculpt's extent."""


class PieceSurfaces:
    """All pieces in one surface: one look-up for the pointer, however many there are.

    Parameters
    ----------
    groups
        Name and surface of each group of the sculpt.
    names
        Of the pieces.
    look
        Which triangles are whose; None where each group is the piece of its name.
    """

    def __init__(
        self, groups: Sequence[tuple[str, Surface]], names: Sequence[str], look: RawSurvey | None
    ) -> None:
        self._groups = groups
        self._names = tuple(names) if look is not None else tuple(name for name, _ in groups)
        self._look = look
        self._skins: dict[tuple[str, ...], Mesh] = {}

    @cached_property
    def extent(self) -> float:
        """Largest size of the sculpt along its axes."""
        low = np.min([surface.vertices.min(axis=0) for _, surface in self._groups], axis=0)
        high = np.max([surface.vertices.max(axis=0) for _, surface in self._groups], axis=0)
        return float((high - low).max()) or 1.0

    def met(self, start: Floats, stop: Floats) -> str:
        """Name the piece that the way from `start` to `stop` meets first; blank for none."""
        met = self._probe.meet(start, stop)
        return self._names[int(self._owner[met[1]])] if met else ""

    def skin(self, names: Sequence[str]) -> Mesh:
        """Give some pieces a little thicker than they are, or they would fight with what is shown.

        Coarse where they are of very many triangles; empty where no triangle is known to be theirs.
        """
        wanted = tuple(names)
        if wanted not in self._skins:
            self._skins[wanted] = self._made(wanted)
        return self._skins[wanted]

    def _made(self, names: tuple[str, ...]) -> Mesh:
        numbers = [number for number, name in enumerate(self._names) if name in set(names)]
        chosen = np.concatenate([self._of(number) for number in numbers]) if numbers else np.zeros(0, int)
        if not len(chosen):
            return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
        triangles = self._whole.triangles[chosen]
        used, compact = np.unique(triangles, return_inverse=True)
        surface = Surface(self._whole.vertices[used], compact.reshape(-1, 3).astype(np.int32))
        if len(chosen) > DRAWN:
            coarse = thinned(surface, float(np.ptp(surface.vertices, axis=0).max()) / CELLS)
            surface = coarse if len(coarse.triangles) else surface
        return thicker(surface, THICKER * self.extent), surface.triangles.astype(np.int64)

    def _of(self, number: int) -> Indices:
        """Give the triangles of a piece."""
        order, starts = self._sorted
        return order[starts[number] : starts[number + 1]]

    @cached_property
    def _sorted(self) -> tuple[Indices, Indices]:
        order = np.argsort(self._owner, kind="stable")
        return order, np.searchsorted(self._owner[order], np.arange(len(self._names) + 1))

    @cached_property
    def _owner(self) -> Indices:
        """(m,) which piece each triangle of the whole is of."""
        parts = []
        for number, (_, surface) in enumerate(self._groups):
            labels = self._look.owner[number] if self._look is not None else None
            sole = self._look.sole[number] if self._look is not None else number
            parts.append(np.full(len(surface.triangles), sole) if labels is None else labels)
        return np.concatenate(parts).astype(np.int64)

    @cached_property
    def _whole(self) -> Surface:
        if len(self._groups) == 1:
            return self._groups[0][1]
        surfaces = [surface for _, surface in self._groups]
        shifts = np.cumsum([0, *(len(surface.vertices) for surface in surfaces[:-1])])
        return Surface(
            np.concatenate([surface.vertices for surface in surfaces]),
            np.concatenate(
                [surface.triangles + shift for surface, shift in zip(surfaces, shifts, strict=True)]
            ).astype(np.int32),
        )

    @cached_property
    def _probe(self) -> Probe:
        return Probe(self._whole)
