"""Has a geometry process work on the window's behalf: the latest replay first, then all other tasks."""

import threading
from collections import deque
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from holdwright.errors import HoldwrightError
from holdwright.pipeline.geometry_process.child import Child, Lost
from holdwright.pipeline.geometry_process.messages import Answer, Ended, Reported, Sent, Stop, Task
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import recipe_text
from holdwright.pipeline.views.geometry_worker import GeometryWorker, RecipeWork, Work

GRACE_MS = 400
"""How long a task requested to stop may go on before its process is ended and a new one started."""

LOST = "The geometry process ended unexpectedly at this step; nothing is lost. Try again, or change the step."
LOST_TASK = "The geometry process ended unexpectedly before the work was done; nothing is lost. Try again."
OUT_OF_MEMORY = (
    "This takes more memory than the machine can give it, so it was stopped and nothing was changed; close "
    "other programs, or simplify the sculpt."
)


class GeometrySupervisor(QObject):
    """Keeps one geometry process busy; tasks wait in a row, of those `latest_only` one, before the others.

    Signals
    -------
    sent
        Part of what a task gives: its number, and what was sent.
    reported
        How far the task of that number is, with a short text.
    ended
        A task is over: its number, what it gave (None where it gave nothing), the failure's sentence or
        blank, and whether it was stopped.
    busy_changed
        Whether anything runs or waits.
    """

    sent = Signal(int, object)
    reported = Signal(int, float, str)
    ended = Signal(int, object, str, bool)
    busy_changed = Signal(bool)
    _arrived = Signal(object, object)

    def __init__(self, store_folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store_folder = store_folder
        self._child: Child | None = None
        self._running: Task | None = None
        self._waiting: deque[Task] = deque()
        self._number = 0
        self._stopping = False
        self._closed = False
        self._grace = QTimer(self, singleShot=True, interval=GRACE_MS)
        self._grace.timeout.connect(self._end_process)
        self._answers: deque[tuple[Child, Answer | None]] = deque()
        self._turn = QTimer(self, interval=0)
        self._turn.timeout.connect(self._take_next)
        self._arrived.connect(self._take, Qt.ConnectionType.QueuedConnection)

    @property
    def busy(self) -> bool:
        """Whether anything runs or waits."""
        return self._running is not None

    @property
    def pid(self) -> int:
        """Process id of the geometry process; 0 while none runs."""
        return self._child.pid if self._child is not None else 0

    def warm_up(self) -> None:
        """Start the process before it is needed."""
        if self._child is None and not self._closed:
            self._child = Child(GeometryWorker, self._store_folder, name="holdwright-geometry")
            threading.Thread(target=self._read, args=(self._child,), daemon=True).start()

    def send(self, work: Work, requested: object, recipe: Recipe, *, latest_only: bool = False) -> int:
        """Have work done on a recipe and its sculpt as soon as may be.

        While a task runs it is let finish: its results are shown as they come, so that a drag shows something
        at every moment, and the latest follows.

        Parameters
        ----------
        work, requested
            A function of a module, and what it is given; see `geometry_worker.RecipeWork`.
        latest_only
            Whether the task is dropped, while it waits, for another such.

        Returns
        -------
        int
            The number given to it; 0 where the recipe has no sculpt.
        """
        if recipe.source is None:
            return 0
        self._number += 1
        text = recipe_text(recipe, compact=True)
        content = RecipeWork(work, text, recipe.source.path, requested, latest_only)
        self._put(Task(self._number, content))
        return self._number

    def stop(self, number: int | None = None) -> None:
        """Give up what runs and what waits, or the one of that number alone.

        A process that does not listen in time is ended.
        """
        for task in [each for each in self._waiting if number in (None, each.number)]:
            self._waiting.remove(task)
            self.ended.emit(task.number, None, "", True)
        if self._running is None or self._child is None or number not in (None, self._running.number):
            return
        self._stopping = True
        try:
            self._child.ask(Stop(self._running.number))
        except Lost:
            self._end_process()
            return
        self._grace.start()

    def close(self) -> None:
        """End the process, once it has tidied up; the supervisor is of no use afterwards."""
        self._closed = True
        self._grace.stop()
        self._running = None
        self._waiting.clear()
        if self._child is not None:
            child, self._child = self._child, None
            child.close()

    def _put(self, task: Task) -> None:
        if self._running is None:
            self._start(task)
        elif task.work.latest_only:
            self._waiting = deque([task, *(each for each in self._waiting if not each.work.latest_only)])
        else:
            self._waiting.append(task)

    def _start(self, task: Task) -> None:
        self.warm_up()
        was_busy = self._running is not None
        self._running = task
        self._stopping = False
        if not was_busy:
            self.busy_changed.emit(True)
        if self._child is None:
            return
        try:
            self._child.ask(task)
        except Lost:
            # Heard of later, when the caller knows the number.
            self._arrived.emit(self._child, None)

    def _read(self, child: Child) -> None:
        """Pass answers on, in a thread that only waits; ends with the process."""
        while True:
            try:
                answer = child.answer()
            except Exception:  # noqa: BLE001  whatever it is, the window must not wait for ever
                # The process is lost; the connection was closed on this side while the thread waited on it;
                # or the answer cannot be read, as when the program was updated beneath a running window.
                answer = None
            try:
                self._arrived.emit(child, answer)
            except RuntimeError:
                return
            if answer is None:
                return

    def _take(self, child: Child, answer: Answer | None) -> None:
        self._answers.append((child, answer))
        self._turn.start()

    def _take_next(self) -> None:
        """Pass one answer on: each has a turn of events of its own, so that several hold up no frame."""
        child, answer = self._answers.popleft()
        if not self._answers:
            self._turn.stop()
        if child is not self._child:
            return
        if answer is None:
            self._lost(child)
            return
        if self._running is None or answer.number != self._running.number:
            return
        match answer:
            case Sent(number, content):
                self.sent.emit(number, content)
            case Reported(number, fraction, text):
                self.reported.emit(number, fraction, text)
            case Ended(number, result, error, stopped):
                self._finish(number, result, _sentence(error), stopped)

    def _finish(self, number: int, result: object, failed: str, stopped: bool) -> None:
        self._grace.stop()
        self._running = None
        self.ended.emit(number, result, failed, stopped)
        if self.busy:  # a listener has sent more
            return
        if self._waiting:
            self._start(self._waiting.popleft())
        else:
            self.busy_changed.emit(False)

    def _lost(self, child: Child) -> None:
        """Tell that the process is gone; what waits is still done, by a new one.

        One that is lost while idle is not replaced before there is work: else one that cannot live would be
        started again and again.
        """
        child.kill()
        self._child = None
        running = self._running
        if running is not None:
            self.warm_up()
            sentence = LOST if running.work.latest_only else LOST_TASK
            self._finish(running.number, None, "" if self._stopping else sentence, self._stopping)

    def _end_process(self) -> None:
        if self._child is not None:
            self._lost(self._child)


def _sentence(error: BaseException | None) -> str:
    """Say what stopped a task; blank for nothing."""
    if error is None:
        return ""
    if isinstance(error, MemoryError):
        return OUT_OF_MEMORY
    if isinstance(error, HoldwrightError):
        return str(error)
    return f"Something went wrong inside Holdwright ({error!r}); please report it."
