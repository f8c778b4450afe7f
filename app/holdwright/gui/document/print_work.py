"""How the finished hold is printed, estimated in a process of its own once somebody looks at it."""

from collections import OrderedDict
from typing import Final

from PySide6.QtCore import QObject, Signal

from holdwright.export.layers_view import (
    DrawingsRequest,
    Drawn,
    LayersRequest,
    LayersView,
    draw_layers,
    view_layers,
)
from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.resting_task import RestingTask
from holdwright.gui.document.step_texts import missing_input, title_of, without_step
from holdwright.pipeline.display_results import ShownStep
from holdwright.printing.print_parameters import PrintParameters

REST_MS: Final = 250
"""How long document and settings must rest before they are computed for."""

BLOCK: Final = 8
"""Layers that are drawn in one go: the next ones are looked at soon."""

MOST_DRAWN: Final = 512

COMPUTING: Final = "Computing."
WAITS: Final = "The hold is not finished yet."
STOPPED: Final = "Stopped as asked; change a setting, or open this page again."
UNSIZED: Final = "The hold has no true size yet; add a step Scale to envelope."


class PrintWork(QObject):
    """Keeps estimates and layers of the hold as it is, from when they are first wanted.

    Attributes
    ----------
    view
        What was computed last; None where there is none, or the hold fails.
    is_current
        Whether that is of the hold and the settings as they are.
    sentence
        Why not; blank where it is.

    Signals
    -------
    changed
        One of these.
    drawn
        Further layers.
    """

    changed = Signal()
    drawn = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._wanted = False
        self._supervisor: GeometrySupervisor | None = None
        self._made_for: tuple[LayersRequest, PrintParameters] | None = None
        self._requested_for: tuple[LayersRequest, PrintParameters] | None = None
        self._failed = ""
        self._layers: OrderedDict[int, dict[str, Drawn]] = OrderedDict()
        self._number, self._next = 0, -1
        self.view: LayersView | None = None
        self.is_current, self.sentence = False, WAITS
        self.task = RestingTask(document, view_layers, REST_MS, self)
        self.task.ended.connect(self._take)
        for signal in (document.recipe_changed, document.step_shown, document.busy_changed):
            signal.connect(self.refresh)
        document.opened.connect(self._forget)

    def use(self, supervisor: GeometrySupervisor) -> None:
        """Have the work done by a process."""
        self._supervisor = supervisor
        self.task.use(supervisor)
        supervisor.ended.connect(self._take_layers)

    def want(self) -> None:
        """Compute from now on; also another try after a failure."""
        if self._failed:
            self._made_for, self._requested_for, self._failed = None, None, ""
        self._wanted = True
        self.refresh()

    def refresh(self) -> None:
        """Have the hold computed where it, or what it is printed with, is another than before."""
        step, sentence = finished_step(self._document)
        wanted = (LayersRequest(step.id, step.key), self._document.recipe.print) if step else None
        if wanted is None:
            self._requested_for = None
            self.task.drop()
            if not self._document.busy:
                self._made_for = None
                self._show(None, sentence, current=False)
            else:
                self._show(self.view, COMPUTING, current=False)
        elif wanted == self._made_for:
            self._show(self.view, self._failed, current=not self._failed)
        elif self._wanted:
            if wanted != self._requested_for:
                self._requested_for = wanted
                self.task.request(wanted[0])
            self._show(self.view, COMPUTING, current=False)
        else:
            self._show(None, "", current=False)

    def layer(self, number: int) -> dict[str, Drawn] | None:
        """Give a layer's lines by part; None where they have still to be drawn, which is begun."""
        if number in self._layers:
            self._layers.move_to_end(number)
            return self._layers[number]
        if self.is_current:
            self._next = number
            self._send()
        return None

    def _show(self, view: LayersView | None, sentence: str, *, current: bool) -> None:
        shown = self.view, self.sentence, self.is_current
        if view is not self.view:
            self._drop_layers()
        self.view, self.sentence, self.is_current = view, sentence, current
        if shown != (view, sentence, current):
            self.changed.emit()

    def _take(self, _request: object, view: object, failed: str, stopped: bool) -> None:
        self._made_for, self._requested_for = self._requested_for, None
        if isinstance(view, LayersView):
            self._failed = ""
            self._show(view, "", current=True)
        else:
            self._failed = STOPPED if stopped else failed
            self._show(None, self._failed, current=False)

    def _forget(self) -> None:
        self.task.drop()
        self._made_for, self._requested_for, self._failed = None, None, ""
        self._show(None, WAITS, current=False)

    # Layers: one request at a time, so that something is shown at every moment of a drag.

    def _send(self) -> None:
        if self._number or self._supervisor is None or self.view is None or self._made_for is None:
            return
        heights, first = self.view.heights, self._next // BLOCK * BLOCK
        numbers = range(first, min(first + BLOCK, len(heights)))
        if not numbers:
            return
        request, recipe = self._made_for[0], self._document.recipe
        layers = DrawingsRequest(request.step, request.key, {n: float(heights[n]) for n in numbers})
        self._next = -1
        self._number = self._supervisor.send(draw_layers, layers, recipe)

    def _take_layers(self, number: int, drawn: object, _failed: str, _stopped: bool) -> None:
        if number != self._number:
            return
        self._number = 0
        if isinstance(drawn, dict):
            self._layers.update(drawn)
            while len(self._layers) > MOST_DRAWN:
                self._layers.popitem(last=False)
            self.drawn.emit()
        if self._next >= 0 and self._next not in self._layers and self.is_current:
            self._send()

    def _drop_layers(self) -> None:
        self._layers.clear()
        self._next = -1
        number, self._number = self._number, 0
        if number and self._supervisor is not None:
            self._supervisor.stop(number)


def finished_step(document: Document) -> tuple[ShownStep | None, str]:
    """Give the result of the last step that is done, or why the hold is not finished."""
    steps = [step for step in document.recipe.steps if step.enabled]
    for step in steps:
        shown = document.step(step.id) if document.is_current(step.id) else None
        if missing_input(step):
            return None, f"{WAITS} {title_of(step.operation)} needs a click in the view."
        if shown is not None and shown.failed:
            return None, f"{WAITS} {title_of(step.operation)} failed: {without_step(shown.failed)}"
        if shown is None:
            return None, WAITS
    last = document.step(steps[-1].id) if steps else None
    return (last, "") if last is not None and last.sized else (None, UNSIZED if steps else WAITS)
