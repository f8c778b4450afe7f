"""The hold before another sculpt was put under its recipe, as a ghost over what came of that or beside it."""

import numpy as np
from PySide6.QtCore import QObject

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.document.document import Document
from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.handles.step_presenter import GHOST, StepPresenter
from holdwright.gui.viewport.viewport import Viewport
from holdwright.pipeline.views.display_results import ShownStep
from holdwright.render.contour import CutPlane


class OldHold(QObject):
    """Draws it while that is wanted, in the frame of whatever step is shown."""

    def __init__(self, document: Document, viewport: Viewport, stage: StepPresenter) -> None:
        super().__init__(viewport)
        self._document, self._stage = document, stage
        self._ghosts = GhostPainter(viewport, "old")
        self._wanted, self._opacity = False, GHOST
        self._swiped, self._place = False, 0.5
        self._viewport = viewport
        self._new_side: CutPlane | None = None
        stage.shown_changed.connect(self.refresh)
        viewport.scheme_changed.connect(self.refresh)
        document.revision.changed.connect(self.refresh)

    def set_shown(self, shown: bool) -> None:
        """Draw it, or take it away."""
        self._wanted = shown
        self.refresh()

    def set_swiped(self, swiped: bool) -> None:
        """Draw it at the left of a line and the new one at the right, or over that again."""
        self._swiped = swiped
        self.refresh()

    def set_share(self, share: float) -> None:
        """Let it hide the new one more, up to 1, or less; swiped, draw so much of the width of it."""
        if self._swiped:
            self._place = share
        else:
            self._opacity = share
        self.refresh()

    def refresh(self) -> None:
        """Draw it anew, where there is one."""
        revision, shown = self._document.revision, self._stage.shown
        old = revision.outside
        new_side: CutPlane | None = None
        self._ghosts.begin()
        if self._wanted and old is not None and shown is not None:
            matrix = revision.motion(shown.placement)
            surfaces = {name: solid.light or solid.surface for name, solid in old.solids.items()}
            points = {
                name: move_points(matrix, each.vertices.astype(np.float64)) for name, each in surfaces.items()
            }
            old_side, opacity = None, self._opacity
            if self._swiped and points:
                old_side, new_side = self._sides([*points.values()], shown)
                opacity = 1.0
            for name, each in surfaces.items():
                mesh = points[name], each.triangles.astype(np.int64)
                self._ghosts.sheet(name, mesh, opacity, without=old_side)
        self._ghosts.end()
        if (new_side is None) != (self._new_side is None) or new_side is not None:
            self._new_side = new_side
            self._viewport.scene.cut_open(new_side, replaced=True)
            self._viewport.redraw(moving=True)

    def _sides(self, old: list[Floats], shown: ShownStep) -> tuple[CutPlane, CutPlane]:
        """Give what is left out of the old hold, at the right of the line, and of the new one."""
        across = [each[:, 0] for each in old]
        across += [each.surface.vertices[:, 0].astype(np.float64) for each in shown.solids.values()]
        low, high = min(float(each.min()) for each in across), max(float(each.max()) for each in across)
        at, right = np.array([low + self._place * (high - low), 0.0, 0.0]), np.array([1.0, 0.0, 0.0])
        return CutPlane(at, right), CutPlane(at, -right)
