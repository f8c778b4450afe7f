"""The surfaces of the raw sculpt's pieces, to be pointed at and drawn over."""

from collections.abc import Collection, Sequence
from functools import cached_property
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.gui.handles.shapes import Mesh
from holdwright.gui.handles.silhouette import thicker
from holdwright.gui.viewport.picking import Probe
from holdwright.pipeline.display_results import ShownSculpt, Surface
from holdwright.pipeline.raw_survey import RawSurvey
from holdwright.render.polydata import thinned

MOST_PASSED: Final = 24
"""Surfaces of pieces left out that a line of sight passes through."""


class PieceSurfaces:
    """All pieces in one surface: one look-up for the pointer, however many there are.

    Parameters
    ----------
    names
        Of the pieces.
    look
        Which triangles are whose; None where each group is the piece of its name.
    """

    def __init__(self, sculpt: ShownSculpt, names: Sequence[str], look: RawSurvey | None) -> None:
        self.extent = sculpt.extent or 1.0
        self._groups = [surface for _, surface in sculpt.pieces]
        self._names = tuple(names) if look is not None else tuple(name for name, _ in sculpt.pieces)
        self._look = look
        self._raised: dict[tuple[str, ...], Mesh] = {}

    def first_hit(self, start: Floats, stop: Floats, last: Collection[str] = ()) -> str:
        """Name the piece that the way from `start` to `stop` hits first; blank for none.

        Parameters
        ----------
        last
            Names of pieces that are hit only where no other is.
        """
        behind = ""
        step = (stop - start) * (1e-6 * self.extent / max(float(np.linalg.norm(stop - start)), 1e-30))
        for _ in range(MOST_PASSED):
            hit = self._probe.meet(start, stop)
            name = self._names[int(self._owner[hit[1]])] if hit else ""
            if hit is None or name not in last:
                return name or behind
            behind, start = behind or name, hit[0] + step
        return behind

    def raised(self, names: Sequence[str]) -> Mesh:
        """Give some pieces a little thicker than they are, or they would fight with what is shown.

        Coarse where they are of very many triangles; empty where no triangle is known to be theirs.
        """
        key = tuple(names)
        if key not in self._raised:
            self._raised[key] = self._made(key)
        return self._raised[key]

    def _made(self, names: tuple[str, ...]) -> Mesh:
        numbers = [number for number, name in enumerate(self._names) if name in set(names)]
        chosen = np.flatnonzero(np.isin(self._owner, numbers))
        if not len(chosen):
            return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
        triangles = self._whole.triangles[chosen]
        used, compact = np.unique(triangles, return_inverse=True)
        surface = Surface(self._whole.vertices[used], compact.reshape(-1, 3).astype(np.int32))
        # Very many are drawn coarsely.
        if len(chosen) > 20_000:
            coarse = thinned(surface, float(np.ptp(surface.vertices, axis=0).max()) / 80)
            surface = coarse if len(coarse.triangles) else surface
        return thicker(surface, 0.003 * self.extent), surface.triangles.astype(np.int64)

    @cached_property
    def _owner(self) -> Indices:
        """(m,) which piece each triangle of the whole is of."""
        parts = []
        for number, surface in enumerate(self._groups):
            labels = self._look.owner[number] if self._look is not None else None
            sole = self._look.sole[number] if self._look is not None else number
            parts.append(np.full(len(surface.triangles), sole) if labels is None else labels)
        return np.concatenate(parts).astype(np.int64)

    @cached_property
    def _whole(self) -> Surface:
        shifts = np.cumsum([0, *(len(each.vertices) for each in self._groups[:-1])], dtype=np.int32)
        triangles = [each.triangles + shift for each, shift in zip(self._groups, shifts, strict=True)]
        return Surface(np.concatenate([each.vertices for each in self._groups]), np.concatenate(triangles))

    @cached_property
    def _probe(self) -> Probe:
        return Probe(self._whole)
