"""Colours the new hold by how far it is from the one before the sculpt was revised."""

from PySide6.QtCore import QObject, Signal

from holdwright.gui.bars.actions import Actions
from holdwright.gui.bars.value_read_out import ValueReadOut
from holdwright.gui.document.distance_map import DistanceMap
from holdwright.gui.document.document import Document
from holdwright.gui.handles.step_presenter import StepPresenter
from holdwright.gui.viewport.viewport import Viewport
from holdwright.printing.print_parameters import PrintParameters


class DistanceColours(QObject):
    """Shows the distances while they are wanted and the whole new hold is.

    Parameters
    ----------
    distances
        Makes the map.

    Signals
    -------
    left
        Another result was brought into the view, which has no distances.
    """

    left = Signal()

    def __init__(
        self,
        document: Document,
        viewport: Viewport,
        actions: Actions,
        stage: StepPresenter,
        distances: DistanceMap,
    ) -> None:
        super().__init__(viewport)
        self._document, self._viewport, self._stage = document, viewport, stage
        self._heat, self._distances = actions["heat"], distances
        self._wanted, self._coloured = False, False
        self._words = ValueReadOut(viewport, "distance", lambda: self._coloured, self)
        distances.ready.connect(self._colour)
        stage.shown_changed.connect(self._colour)

    def set_shown(self, shown: bool) -> None:
        """Colour the hold, or show it in its own colour again."""
        if shown == self._wanted:
            return
        now = self._document.revision.outside_now
        if shown and now is not None:
            self._heat.setChecked(False)
            self._document.edits.select(PrintParameters.name)
            self._wanted = True
            self._stage.look_at(now.id)
        else:
            self._wanted = False
            self._stage.look_at("")
        self._colour()

    def _colour(self) -> None:
        shown, now = self._stage.shown, self._document.revision.outside_now
        field = None
        if self._wanted and shown is not None and now is not None and shown.key == now.key:
            field = self._distances.field()
        if field is not None:
            reach = field.reach
            self._viewport.set_colour_map(field.values, -reach, reach, None, "Distance", signed=True)
            self._coloured = True
        elif self._wanted and shown is not None and now is not None and shown.key != now.key:
            self.left.emit()
        elif self._coloured:
            self._words.clear()
            self._viewport.clear_colour_map()
            self._coloured = False
