"""How the finished hold is printed: estimates and layers, computed in a process of their own."""

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
from holdwright.gui.document.hold_work import HoldWork
from holdwright.pipeline.views.display_results import ShownStep

BLOCK: Final = 8
"""Layers that are drawn in one go: the next ones are looked at soon."""

MOST_DRAWN: Final = 512


class PrintWork(HoldWork[LayersView]):
    """Keeps estimates and layers of the hold as it is.

    Signals
    -------
    drawn
        Further layers.
    """

    drawn = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(document, view_layers, _request_of, LayersView, parent)
        self._supervisor: GeometrySupervisor | None = None
        self._layers: OrderedDict[int, dict[str, Drawn]] = OrderedDict()
        self._number, self._next = 0, -1

    def use(self, supervisor: GeometrySupervisor) -> None:
        """Have the work done by a process."""
        super().use(supervisor)
        self._supervisor = supervisor
        supervisor.ended.connect(self._take_layers)

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
        if view is not self.view:
            self._drop_layers()
        self.document.take_estimates(view.estimates if view is not None and current else None)
        super()._show(view, sentence, current=current)

    # Layers: one request at a time, so that something is shown at every moment of a drag.

    def _send(self) -> None:
        step = self.document.step(str(self.made_for[0])) if self.made_for else None
        if self._number or self._supervisor is None or self.view is None or step is None:
            return
        heights, first = self.view.heights, self._next // BLOCK * BLOCK
        numbers = range(first, min(first + BLOCK, len(heights)))
        if not numbers:
            return
        layers = DrawingsRequest(step.id, step.key, {n: float(heights[n]) for n in numbers})
        self._next = -1
        self._number = self._supervisor.send(draw_layers, layers, self.document.recipe)

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


def _request_of(step: ShownStep) -> LayersRequest:
    return LayersRequest(step.id, step.key)
