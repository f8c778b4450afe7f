"""How thick the hold is everywhere, measured in a process of its own so that no cut waits for it."""

from collections import OrderedDict
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, Signal

from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.resting_task import RestingTask
from holdwright.pipeline.views.analysis import SurfaceField, ThicknessRequest, measure_thickness
from holdwright.pipeline.views.display_results import ShownStep

REST_MS: Final = 150

MOST_STORED: Final = 6
"""Results of so many steps are stored, for going back and forth between them."""

Fields = Mapping[str, SurfaceField]


class ThicknessMap(QObject):
    """Measures the thickness of the solids shown, on demand.

    Parameters
    ----------
    store_folder
        The one the document's results are stored in: solids found there are not made again.

    Attributes
    ----------
    supervisor
        Of the measuring process, for other work too.
    task
        The measurement that waits or goes on.

    Signals
    -------
    ready
        Key of the step's result, name of the solid, (n,) float32 thickness in mm at the vertices of the
        surface shown, and the figures for both ends of the scale. Once for each solid.
    thinnest_found
        Over all solids of a key: name of the solid, thickness in mm, (x, y, z) of the place.
    failed
        Why it could not measure.
    """

    ready = Signal(str, str, object, float, float)
    thinnest_found = Signal(str, float, object)
    failed = Signal(str)

    def __init__(self, document: Document, store_folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.supervisor = GeometrySupervisor(store_folder, self)
        self.task = RestingTask(document, measure_thickness, REST_MS, self)
        self.task.use(self.supervisor)
        self.task.ended.connect(self._end)
        self._stored: OrderedDict[str, Fields] = OrderedDict()
        document.opened.connect(self._forget)
        document.recipe_changed.connect(self._drop_outdated)

    def request(self, step: ShownStep | None) -> None:
        """Have the solids of a shown step measured; None when no map is needed any more.

        What was measured before is reported at once; a request for what is being measured changes nothing.
        """
        if step is None or not step.solids:
            self.task.drop()
        elif step.key in self._stored:
            self.task.drop()
            self._stored.move_to_end(step.key)
            self._report(step.key, self._stored[step.key])
        elif not isinstance(self.task.requested, ThicknessRequest) or self.task.requested.key != step.key:
            places = {name: solid.surface.vertices for name, solid in step.solids.items()}
            self.task.request(ThicknessRequest(step.id, step.key, places))

    def close(self) -> None:
        """End the process; the map is of no use afterwards."""
        self.task.drop()
        self.supervisor.close()

    def _end(self, requested: ThicknessRequest, fields: object, failed: str, stopped: bool) -> None:
        if isinstance(fields, dict):
            self._stored[requested.key] = fields
            while len(self._stored) > MOST_STORED:
                self._stored.popitem(last=False)
            self._report(requested.key, fields)
        elif failed and not stopped:
            self.failed.emit(f"The thickness could not be measured: {failed}")

    def _report(self, key: str, fields: Fields) -> None:
        for part, field in fields.items():
            self.ready.emit(key, part, field.values, field.low, field.high)
        part = min(fields, key=lambda name: fields[name].low)
        self.thinnest_found.emit(part, fields[part].low, fields[part].place)

    def _drop_outdated(self) -> None:
        """Give up measuring what the document no longer gives."""
        requested = self.task.requested
        if isinstance(requested, ThicknessRequest) and not self._document.is_current(requested.step):
            self.task.drop()

    def _forget(self) -> None:
        self.task.drop()
        self._stored.clear()
