"""The hold before another sculpt was put under its recipe, as a ghost over what came of that."""

import numpy as np
from PySide6.QtCore import QObject

from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.document.document import Document
from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.handles.step_presenter import GHOST, StepPresenter
from holdwright.gui.viewport.viewport import Viewport


class OldHold(QObject):
    """Draws it while that is wanted, in the frame of whatever step is shown."""

    def __init__(self, document: Document, viewport: Viewport, stage: StepPresenter) -> None:
        super().__init__(viewport)
        self._document, self._stage = document, stage
        self._ghosts = GhostPainter(viewport, "old")
        self._wanted, self._opacity = False, GHOST
        stage.shown_changed.connect(self.refresh)
        viewport.scheme_changed.connect(self.refresh)
        document.revision.changed.connect(self.refresh)

    def set_shown(self, shown: bool) -> None:
        """Draw it, or take it away."""
        self._wanted = shown
        self.refresh()

    def set_opacity(self, opacity: float) -> None:
        """Let it hide the new one more, up to 1, or less."""
        self._opacity = opacity
        self.refresh()

    def refresh(self) -> None:
        """Draw it anew, where there is one."""
        revision, shown = self._document.revision, self._stage.shown
        old = revision.outside
        self._ghosts.begin()
        if self._wanted and old is not None and shown is not None:
            matrix = revision.motion(shown.placement)
            for name, solid in old.solids.items():
                surface = solid.light or solid.surface
                points = move_points(matrix, surface.vertices.astype(np.float64))
                self._ghosts.sheet(name, (points, surface.triangles.astype(np.int64)), self._opacity)
        self._ghosts.end()
