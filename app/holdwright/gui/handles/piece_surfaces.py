"""The surfaces of the raw sculpt's pieces, to be pointed at and drawn over."""

from collections.abc import Collection, Sequence
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices
from holdwright.gui.handles.shapes import Mesh
from holdwright.gui.handles.silhouette import thicker
from holdwright.gui.viewport.picking import Probe
from holdwright.pipeline.views.display_results import ShownSculpt, Surface
from holdwright.pipeline.views.raw_survey import RawSurvey
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
        wanted = [number for number, name in enumerate(self._names) if name in set(names)]
        parts = [part for part in (self._part(each, wanted) for each in range(len(self._groups))) if part]
        if not parts:
            return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
        surface = _joined(parts)
        # Very many are drawn coarsely.
        if len(surface.triangles) > 20_000:
            coarse = thinned(surface, float(np.ptp(surface.bounds, axis=0).max()) / 80)
            surface = coarse if len(coarse.triangles) else surface
        return thicker(surface, 0.003 * self.extent), surface.triangles.astype(np.int64)

    def _part(self, number: int, wanted: Sequence[int]) -> Surface | None:
        """Give what of a group is of some pieces; None where nothing is."""
        surface, owner = self._groups[number], self._owner_of(number)
        if isinstance(owner, int):
            return surface if owner in wanted and len(surface.triangles) else None
        triangles = surface.triangles[np.isin(owner, wanted)]
        if not len(triangles):
            return None
        used, compact = np.unique(triangles, return_inverse=True)
        return Surface(surface.vertices[used], compact.reshape(-1, 3).astype(np.int32))

    def _owner_of(self, number: int) -> int | NDArray[np.int32]:
        """Give whose a group's triangles are: one piece's, or (m,) of each triangle."""
        if self._look is None:
            return number
        labels = self._look.owner[number]
        return int(self._look.sole[number]) if labels is None else labels

    @cached_property
    def _owner(self) -> Indices:
        """(m,) which piece each triangle of the whole is of."""
        owners = (
            np.broadcast_to(self._owner_of(each), len(group.triangles))
            for each, group in enumerate(self._groups)
        )
        return np.concatenate(list(owners)).astype(np.int64)

    @cached_property
    def _whole(self) -> Surface:
        return _joined(self._groups)

    @cached_property
    def _probe(self) -> Probe:
        return Probe(self._whole)


def _joined(surfaces: Sequence[Surface]) -> Surface:
    """Put surfaces into one, in their order."""
    shifts = np.cumsum([0, *(len(each.vertices) for each in surfaces[:-1])], dtype=np.int32)
    triangles = [each.triangles + shift for each, shift in zip(surfaces, shifts, strict=True)]
    return Surface(np.concatenate([each.vertices for each in surfaces]), np.concatenate(triangles))
