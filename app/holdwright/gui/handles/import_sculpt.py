"""Which pieces of the sculpt are used: point at one to see it, click to leave it out or take it in again."""

from collections.abc import Sequence
from dataclasses import dataclass
from glob import escape
from typing import Final

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.frame import move_points
from holdwright.geometry.sculpt import Floats
from holdwright.gui.handles.likeness import thicker
from holdwright.gui.handles.shapes import Mesh
from holdwright.gui.handles.work import Work
from holdwright.gui.viewport.picking import Probe
from holdwright.gui.viewport.polydata import thinned
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import GroundBlock
from holdwright.operations.import_sculpt import ImportSculptParameters
from holdwright.parameters.piece_names import meant_by_any, without
from holdwright.pipeline.messages import SculptShown
from holdwright.pipeline.recipe import Step
from holdwright.pipeline.shown import Surface

FAR: Final = 100.0
"""How far a line of sight is followed, in extents of the sculpt."""

CELLS: Final = 80
DRAWN: Final = 20_000
"""Pieces of more triangles than this are drawn coarsely, so many cells along their extent."""

THICKER: Final = 0.003
"""How much a piece is drawn thicker than it is, as a share of the sculpt's extent."""


@dataclass(frozen=True)
class Pieces:
    """Names and patterns of the pieces left out, and whether a ground block is kept."""

    leave_out: tuple[str, ...] = ()
    keeps_ground: bool = False


class PiecesWork(Work[Pieces]):
    """Lets pieces of the raw sculpt be pointed at, over the sculpt itself or over what was made of it."""

    operation = "import_sculpt"

    _sculpt: SculptShown | None = None
    _probes: Sequence[tuple[str, Surface, Probe]] = ()
    _under = ""
    _skins: dict[str, Mesh]

    @property
    def under(self) -> str:
        """Name of the piece under the pointer; blank for none."""
        return self._under

    def read(self, step: Step) -> Pieces:
        """Take the pieces left out from the recipe."""
        values = step.parameters
        assert isinstance(values, ImportSculptParameters)
        sculpt = self.bench.document.sculpt
        if sculpt is not self._sculpt:
            self._sculpt, self._under, self._skins = sculpt, "", {}
            self._probes = [(name, each, Probe(each)) for name, each in sculpt.pieces] if sculpt else []
        return Pieces(values.leave_out, values.ground_block == "keep")

    def draw(self) -> None:
        """Draw the piece under the pointer, with its name, and ghosts of those left out."""
        matrix = self._from_sculpt()
        for number, (name, surface, _) in enumerate(self._probes):
            left, under = self._is_left(name), name == self._under
            if not (left or under) or self._is_ground(name):
                continue
            points, triangles = self._skin(name, surface)
            points = move_points(matrix, points)
            self.bench.pencil.sheet(str(number), (points, triangles), 0.6 if under and not left else 0.25)
            if under:
                words = "click to use it again" if left else "click to leave it out"
                self.bench.pencil.label("name", points[int(np.argmax(points[:, 1]))], f"{name}: {words}")

    def wants_click(self, event: ToolEvent) -> bool:
        """Take clicks on pieces."""
        return bool(self._piece_at(event))

    def click(self, event: ToolEvent) -> None:
        """Leave a piece out, or take it in again."""
        name = self._piece_at(event)
        if not name:
            return
        if self._is_left(name):
            pieces = [each for each, _, _ in self._probes]
            self.bench.edit({"leave_out": without(self.state.leave_out, name, pieces)})
        else:
            self.bench.edit({"leave_out": (*self.state.leave_out, escape(name))})

    def look(self, event: ToolEvent | None) -> bool:
        """Show the piece under the pointer."""
        before, self._under = self._under, self._piece_at(event) if event else ""
        if self._under:
            self.bench.viewport.setCursor(Qt.CursorShape.PointingHandCursor)
        return self._under != before

    def _piece_at(self, event: ToolEvent) -> str:
        """Give the name of the first piece along the line of sight; blank for none."""
        start, direction = event.ray()
        back = np.asarray(np.linalg.inv(self._from_sculpt()), dtype=np.float64)
        begin: Floats = move_points(back, start)
        far = float(np.linalg.norm(begin)) + FAR * self._extent()
        end = begin + far * (back[:3, :3] @ direction) / np.linalg.norm(back[:3, :3] @ direction)
        best, nearest = "", np.inf
        for name, _, probe in self._probes:
            if self._is_ground(name):
                continue
            met = probe.meet(begin, end)
            gap = float(np.linalg.norm(met[0] - begin)) if met else np.inf
            if gap < nearest:
                best, nearest = name, gap
        return best

    def _skin(self, name: str, surface: Surface) -> Mesh:
        """Give a piece a little thicker than it is, or it would fight with what was made of it."""
        if name not in self._skins:
            extent = float(np.ptp(surface.vertices, axis=0).max())
            drawn = thinned(surface, extent / CELLS) if len(surface.triangles) > DRAWN else surface
            points = thicker(drawn, THICKER * self._extent())
            self._skins[name] = points, drawn.triangles.astype(np.int64)
        return self._skins[name]

    def _is_left(self, name: str) -> bool:
        return meant_by_any(self.state.leave_out, name)

    def _is_ground(self, name: str) -> bool:
        """Tell whether a piece was taken for the ground block and is not in what is shown."""
        shown = self.bench.frames.shown
        if shown is None or self.state.keeps_ground:
            return False
        return any(isinstance(each, GroundBlock) and each.name == name for each in shown.features)

    def _from_sculpt(self) -> Floats:
        """(4, 4) from the sculpt's coordinates to the frame of what is shown."""
        return self.bench.frames.shown.placement if self.bench.frames.shown else np.eye(4)

    def _extent(self) -> float:
        extents = [float(np.ptp(surface.vertices, axis=0).max()) for _, surface, _ in self._probes]
        return max(extents, default=1.0)
