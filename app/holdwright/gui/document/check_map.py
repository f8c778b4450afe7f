"""What the checks of the print found over the surface, for the vertices that are drawn, on demand."""

from collections.abc import Mapping
from typing import Final

from PySide6.QtCore import QObject, Signal

from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.hold_work import finished_step
from holdwright.gui.document.resting_task import RestingTask
from holdwright.pipeline.views.print_view import CheckField, PrintRequest, PrintView, check_print

REST_MS: Final = 150


class CheckMap(QObject):
    """Keeps the maps of all checks for the finished hold they were last asked for.

    Signals
    -------
    ready
        Maps have arrived.
    """

    ready = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._fields: Mapping[str, Mapping[str, CheckField]] = {}
        self._made_for: object = None
        self._requested_for: object = None
        self._task = RestingTask(document, check_print, REST_MS, self)
        self._task.ended.connect(self._take)
        document.opened.connect(self._forget)

    def use(self, supervisor: GeometrySupervisor) -> None:
        """Have the work done by a process."""
        self._task.use(supervisor)

    def fields(self, code: str) -> Mapping[str, CheckField]:
        """Give a check's maps by part; none while they are still to be made, which is begun."""
        step, _ = finished_step(self._document)
        if step is None or not step.solids:
            return {}
        made_from = (step.key, self._document.recipe.print)
        if made_from == self._made_for:
            return self._fields.get(code, {})
        if made_from != self._requested_for:
            self._requested_for = made_from
            places = {name: solid.surface.vertices for name, solid in step.solids.items()}
            self._task.request(PrintRequest(step.id, step.key, places))
        return {}

    def _take(self, _request: object, view: object, _failed: str, _stopped: bool) -> None:
        made_from, self._requested_for = self._requested_for, None
        if isinstance(view, PrintView):
            self._made_for, self._fields = made_from, view.fields
            self.ready.emit()

    def _forget(self) -> None:
        self._task.drop()
        self._made_for, self._requested_for, self._fields = None, None, {}
