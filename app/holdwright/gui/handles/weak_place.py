"""Where the hold breaks first, drawn on it: the volume that bears most, the load, and where that enters."""

from typing import Final

import numpy as np
from PySide6.QtCore import QObject

from holdwright.gui.document.document import Document
from holdwright.gui.handles.ghost_drawing import BOLD, GhostPainter
from holdwright.gui.handles.shapes import ring
from holdwright.gui.handles.step_presenter import StepPresenter
from holdwright.gui.viewport.viewport import Viewport
from holdwright.printing.print_parameters import PrintParameters
from holdwright.ranges import two_digits
from holdwright.strength.load_cases import PATCH
from holdwright.strength.strength_result import StrengthResult

ARROW: Final = 40.0
HEAD: Final = 8.0
"""Lengths of the load's arrow and of its head, mm."""


class WeakPlace(QObject):
    """Draws it while a page asks for that."""

    def __init__(self, document: Document, viewport: Viewport, stage: StepPresenter) -> None:
        super().__init__(viewport)
        self._document, self._viewport = document, viewport
        self._ghosts = GhostPainter(viewport, "weak")
        self._result: StrengthResult | None = None
        viewport.scheme_changed.connect(self._draw)
        stage.shown_changed.connect(self._draw)

    def show_result(self, result: StrengthResult | None) -> None:
        """Draw a result's first case; None for nothing."""
        if result is not None and result is not self._result:
            self._document.edits.select(PrintParameters.name)
        self._result = result
        self._draw()

    def _draw(self) -> None:
        result = self._result
        self._ghosts.begin()
        if result is not None:
            worst = result.worst
            self._ghosts.patch("volume", (result.patch.vertices, result.patch.triangles))
            # The place may lie inside: the mark is seen through the hold.
            self._ghosts.mark("place", worst.place)
            self._ghosts.label("breaks", worst.place, "breaks here")
            tip, along = np.array(worst.loaded_at), np.array(worst.direction)
            tail = tip - ARROW * along
            beside = np.cross(along, (0.0, 0.0, 1.0) if abs(along[2]) < 0.9 else (1.0, 0.0, 0.0))
            beside *= 0.5 * HEAD / np.linalg.norm(beside)
            barbs = np.array([tip - HEAD * along + beside, tip, tip - HEAD * along - beside])
            self._ghosts.line("load", np.array([tail, tip]), width=BOLD)
            self._ghosts.line("head", barbs, width=BOLD)
            self._ghosts.quiet_line("patch", ring(tip, along, PATCH / 2.0))
            self._ghosts.label("force", tail, f"{two_digits(worst.force)} N")
        self._ghosts.end()
