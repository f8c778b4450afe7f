"""How thick the wall is everywhere, measured in a process of its own so that no cut waits for it."""

from collections import OrderedDict
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, QTimer, Signal

from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.pipeline.analysis import SurfaceField, ThicknessRequest, measure_thickness
from holdwright.pipeline.display_results import ShownStep

REST_MS: Final = 150
"""How long the document must rest before a measurement is begun: no one looks at those of a moving hand."""

KEPT: Final = 6
"""Results of so many steps are kept, for going back and forth between them."""

Fields = Mapping[str, SurfaceField]


class ThicknessMap(QObject):
    """Measures the wall of the solids shown, on demand.

    Parameters
    ----------
    store_folder
        The one the document's results are kept in: solids found there are not made again.

    Attributes
    ----------
    supervisor
        Of the measuring process, for other work too.

    Signals
    -------
    ready
        Key of the step's result, name of the solid, (n,) float32 thickness in mm at the vertices of the
        surface shown, and the figures for both ends of the scale. Once for each solid.
    thinnest_found
        Over all solids of a key: name of the solid, thickness in mm, (x, y, z) of the place.
    busy_changed, reported, failed
        Whether it measures or is about to; how far it is, with a short text; why it could not.
    """

    ready = Signal(str, str, object, float, float)
    thinnest_found = Signal(str, float, object)
    busy_changed = Signal(bool)
    reported = Signal(float, str)
    failed = Signal(str)

    def __init__(self, document: Document, store_folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.supervisor = GeometrySupervisor(store_folder, self)
        self._requested: ShownStep | None = None
        self._number = 0
        self._kept: OrderedDict[str, Fields] = OrderedDict()
        self._busy = False
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self._begin)
        self.supervisor.reported.connect(self._report)
        self.supervisor.ended.connect(self._end)
        document.opened.connect(self._forget)
        document.recipe_changed.connect(self._drop_outdated)
        document.busy_changed.connect(self._document_busy)

    @property
    def busy(self) -> bool:
        """Whether it measures, or is about to."""
        return self._busy

    @property
    def pid(self) -> int:
        """Process id of the measuring process; 0 while there is none."""
        return self.supervisor.pid

    def request(self, step: ShownStep | None) -> None:
        """Have the solids of a shown step measured; None when no map is needed any more.

        What was measured before is given at once; a request for what is being measured changes nothing.
        """
        if step is None or not step.solids:
            self._drop()
            return
        if step.key in self._kept:
            self._drop()
            self._kept.move_to_end(step.key)
            self._tell(step.key, self._kept[step.key])
            return
        if self._requested is not None and self._requested.key == step.key:
            return
        self._drop()
        self._requested = step
        self._set_busy(True)
        if not self._document.busy:
            self._rest.start()

    def warm_up(self) -> None:
        """Start the process before it is needed: its start takes longer than a measurement."""
        self.supervisor.warm_up()

    def close(self) -> None:
        """End the process; the map is of no use afterwards."""
        self._rest.stop()
        self._requested = None
        self.supervisor.close()

    def _begin(self) -> None:
        step = self._requested
        if step is None or self._document.busy or self._number:
            return
        places = {name: solid.surface.vertices for name, solid in step.solids.items()}
        request = ThicknessRequest(step.id, step.key, places)
        self._number = self.supervisor.send(measure_thickness, request, self._document.recipe)

    def _document_busy(self, busy: bool) -> None:
        if busy:
            self._rest.stop()
        elif self._requested is not None:
            self._rest.start()

    def _report(self, number: int, fraction: float, text: str) -> None:
        if number == self._number:
            self.reported.emit(fraction, text)

    def _end(self, number: int, what: object, failed: str, stopped: bool) -> None:
        if number != self._number:
            return
        step, self._requested, self._number = self._requested, None, 0
        self._set_busy(False)
        if step is not None and isinstance(what, dict):
            self._kept[step.key] = what
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
            self._tell(step.key, what)
        elif failed and not stopped:
            self.failed.emit(f"The thickness could not be measured: {failed}")

    def _tell(self, key: str, fields: Fields) -> None:
        for part, field in fields.items():
            self.ready.emit(key, part, field.values, field.low, field.high)
        part = min(fields, key=lambda name: fields[name].low)
        self.thinnest_found.emit(part, fields[part].low, fields[part].place)

    def _drop_outdated(self) -> None:
        """Give up measuring what the document no longer gives."""
        if self._requested is not None and not self._document.is_current(self._requested.id):
            self._drop()

    def _forget(self) -> None:
        self._drop()
        self._kept.clear()

    def _drop(self) -> None:
        """Want nothing any more; what still comes of it is passed over."""
        self._rest.stop()
        self._requested = None
        number, self._number = self._number, 0
        if number:
            self.supervisor.stop(number)
        self._set_busy(False)

    def _set_busy(self, busy: bool) -> None:
        if busy != self._busy:
            self._busy = busy
            self.busy_changed.emit(busy)
