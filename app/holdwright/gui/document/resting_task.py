"""Work in another process than the document's, begun once the document rests."""

from PySide6.QtCore import QObject, QTimer, Signal

from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.pipeline.views.geometry_worker import Work


class RestingTask(QObject):
    """One request at a time: a further one takes the place of the one before, of which nothing more is heard.

    Parameters
    ----------
    work
        The function of a module that does it; see `geometry_worker.RecipeWork`.
    rest_ms
        How long requests and document must rest before it begins: nobody looks at those of a moving pointer.

    Attributes
    ----------
    requested
        The request that waits or is worked on; None for none.

    Signals
    -------
    begun
        It was sent to the process.
    reported
        How far it is, from 0 to 1, with a short text.
    ended
        The request, what it gave (None where it gave nothing), the failure's sentence or blank, and whether
        it was stopped.
    """

    begun = Signal()
    reported = Signal(float, str)
    ended = Signal(object, object, str, bool)

    def __init__(self, document: Document, work: Work, rest_ms: int, parent: QObject) -> None:
        super().__init__(parent)
        self._document, self._work = document, work
        self._supervisor: GeometrySupervisor | None = None
        self._number = 0
        self.requested: object = None
        self._rest = QTimer(self, singleShot=True, interval=rest_ms)
        self._rest.timeout.connect(self._begin)
        document.busy_changed.connect(self._take_busy)

    def use(self, supervisor: GeometrySupervisor) -> None:
        """Have the work done by a process."""
        self._supervisor = supervisor
        supervisor.ended.connect(self._end)
        supervisor.reported.connect(self._report)

    def request(self, requested: object) -> None:
        """Have this done, in place of any request before."""
        self.drop()
        self.requested = requested
        self._take_busy(self._document.busy)

    def drop(self) -> None:
        """Give the request up."""
        self._rest.stop()
        self.requested = None
        number, self._number = self._number, 0
        if number and self._supervisor is not None:
            self._supervisor.stop(number)

    def _take_busy(self, busy: bool) -> None:
        if busy:
            self._rest.stop()
        elif self.requested is not None:
            self._rest.start()

    def _begin(self) -> None:
        if self._supervisor is None or self.requested is None or self._document.busy or self._number:
            return
        self._number = self._supervisor.send(self._work, self.requested, self._document.recipe)
        self.begun.emit()

    def _report(self, number: int, fraction: float, text: str) -> None:
        if number == self._number:
            self.reported.emit(fraction, text)

    def _end(self, number: int, result: object, failed: str, stopped: bool) -> None:
        if number == self._number:
            requested, self.requested, self._number = self.requested, None, 0
            self.ended.emit(requested, result, failed, stopped)
