"""How far the new hold is from the old one, for the vertices that are drawn, on demand."""

from typing import Final

import numpy as np
from PySide6.QtCore import QObject, Signal

from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.resting_task import RestingTask
from holdwright.hold.hold import WHOLE
from holdwright.pipeline.views.display_results import Surface
from holdwright.pipeline.views.surface_distance import DistanceField, DistanceRequest, measure_distance

REST_MS: Final = 50


class DistanceMap(QObject):
    """Keeps the distances of the revision they were last asked for.

    Signals
    -------
    ready
        They have arrived.
    """

    ready = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._field: DistanceField | None = None
        self._task = RestingTask(document, measure_distance, REST_MS, self)
        self._task.ended.connect(self._take)
        document.revision.changed.connect(self._forget)

    def use(self, supervisor: GeometrySupervisor) -> None:
        """Have the work done by a process."""
        self._task.use(supervisor)

    def field(self) -> DistanceField | None:
        """Give the distances on the new whole hold; None while they are still to be made, which is begun."""
        revision = self._document.revision
        old, new = revision.outside, revision.outside_now
        if self._field is not None or old is None or new is None:
            return self._field
        if self._task.requested is None and WHOLE in old.solids and WHOLE in new.solids:
            surface = old.solids[WHOLE].surface
            moved = move_points(revision.motion(new.placement), surface.vertices.astype(np.float64))
            laid = Surface(moved.astype(np.float32), surface.triangles)
            self._task.request(DistanceRequest(new.solids[WHOLE].surface.vertices, laid))
        return None

    def _take(self, _request: object, field: object, _failed: str, _stopped: bool) -> None:
        if isinstance(field, DistanceField):
            self._field = field
            self.ready.emit()

    def _forget(self) -> None:
        self._task.drop()
        self._field = None
