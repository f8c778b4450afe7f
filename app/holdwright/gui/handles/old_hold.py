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
        self._wanted = False
        stage.shown_changed.connect(self.refresh)
        viewport.scheme_changed.connect(self.refresh)
        document.revision.changed.connect(self.refresh)

    def set_shown(self, shown: bool) -> None:
        """Draw it, or take it away."""
        self._wanted = shown
        self.refresh()

    def refresh(self) -> None:
        """Draw it anew, where there is one."""
        old, shown = self._document.revision.outside, self._stage.shown
        after = self._document.step(old.id) if old else None
        self._ghosts.begin()
        if self._wanted and old is not None and after is not None and shown is not None:
            # Both were brought into one frame by the same step.
            matrix = shown.placement @ np.linalg.inv(after.placement)
            for name, solid in old.solids.items():
                surface = solid.light or solid.surface
                points = move_points(matrix, surface.vertices.astype(np.float64))
                self._ghosts.sheet(name, (points, surface.triangles.astype(np.int64)), GHOST)
        self._ghosts.end()
