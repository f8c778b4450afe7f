"""Smooths large surfaces beside the window's own work."""

from concurrent.futures import Future, ThreadPoolExecutor

from PySide6.QtCore import QObject, Qt, Signal

from holdwright.pipeline.views.display_results import Surface
from holdwright.render.surface_mesh import SurfaceMesh, surface_mesh


class SurfaceWorker(QObject):
    """One thread that smooths one surface after another."""

    ready = Signal(object, object)
    """A surface, and as it is drawn smoothed."""
    _made = Signal(object, object)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="surfaces")
        self._waiting: dict[int, Future[None]] = {}
        self._made.connect(self._take, Qt.ConnectionType.QueuedConnection)

    def request(self, surface: Surface) -> None:
        """Have a surface smoothed; one already requested is not smoothed twice."""
        if id(surface) not in self._waiting:
            self._waiting[id(surface)] = self._pool.submit(self._make, surface)

    def forget(self) -> None:
        """Give up what is not begun."""
        for future in self._waiting.values():
            future.cancel()
        self._waiting.clear()

    def close(self) -> None:
        """End the thread."""
        self.forget()
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _make(self, surface: Surface) -> None:
        self._made.emit(surface, surface_mesh(surface))

    def _take(self, surface: Surface, made: SurfaceMesh) -> None:
        if self._waiting.pop(id(surface), None) is not None:
            self.ready.emit(surface, made)
