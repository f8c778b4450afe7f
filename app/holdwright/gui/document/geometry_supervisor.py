"""Runs jobs and errands in a geometry process on the window's behalf: the latest job first, then errands."""

import threading
from collections import deque
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from holdwright.pipeline.child import Child, Lost
from holdwright.pipeline.messages import (
    Answer,
    Ended,
    Errand,
    Gave,
    Job,
    Reported,
    SculptShown,
    StepShown,
    Stop,
)

GRACE_MS = 400
"""How long a job that was told to stop may go on before its process is ended and a new one started."""

LOST = "The geometry process ended unexpectedly at this step; nothing is lost. Try again, or change the step."
LOST_ERRAND = "The geometry process ended unexpectedly before the work was done; nothing is lost. Try again."


class Runner(QObject):
    """Keeps one geometry process busy with the latest job, and a job it was given meanwhile waiting.

    Errands wait in a row of their own, behind the job that waits; none is dropped for another.

    Signals
    -------
    sculpt_shown, step_shown, reported
        As the process answers, for what runs now alone; a step with the job's number.
    gave
        What an errand gave, with its number.
    ended
        A job or an errand is over: its number, the failure's sentence or blank, and whether it was stopped.
    busy_changed
        Whether anything runs or waits.
    """

    sculpt_shown = Signal(object)
    step_shown = Signal(int, object)
    reported = Signal(float, str)
    gave = Signal(int, object)
    ended = Signal(int, str, bool)
    busy_changed = Signal(bool)
    _arrived = Signal(object, object)

    def __init__(self, store_folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store_folder = store_folder
        self._child: Child | None = None
        self._running: Job | Errand | None = None
        self._waiting: Job | None = None
        self._errands: deque[Errand] = deque()
        self._number = 0
        self._stopping = False
        self._closed = False
        self._grace = QTimer(self)
        self._grace.setSingleShot(True)
        self._grace.setInterval(GRACE_MS)
        self._grace.timeout.connect(self._end_process)
        self._arrived.connect(self._take, Qt.ConnectionType.QueuedConnection)

    @property
    def busy(self) -> bool:
        """Whether anything runs or waits."""
        return self._running is not None

    @property
    def running(self) -> int:
        """Number of the job or errand that runs now; 0 for none."""
        return self._running.number if self._running is not None else 0

    @property
    def pid(self) -> int:
        """Process id of the geometry process; 0 while there is none."""
        return self._child.pid if self._child is not None else 0

    def warm_up(self) -> None:
        """Start the process before it is needed."""
        if self._child is None and not self._closed:
            self._child = Child(self._store_folder)
            reader = threading.Thread(
                target=self._read, args=(self._child,), daemon=True, name="geometry-answers"
            )
            reader.start()

    def ask(self, asked: Job | Errand) -> int:
        """Do a job or an errand as soon as may be; a job already waiting is dropped for another job.

        While a job runs it is let finish: its results are shown as they come, so that a drag shows something
        at every moment, and the latest job follows.

        Returns
        -------
        int
            The number given to it.
        """
        self._number += 1
        asked = replace(asked, number=self._number)
        if self._running is None:
            self._start(asked)
        elif isinstance(asked, Job):
            self._waiting = asked
        else:
            self._errands.append(asked)
        return asked.number

    def stop(self, number: int | None = None) -> None:
        """Give up what runs and what waits, or the one of that number alone.

        A process that does not listen in time is ended.
        """
        if number is None or (self._waiting is not None and self._waiting.number == number):
            self._waiting = None
        for errand in [each for each in self._errands if number in (None, each.number)]:
            self._errands.remove(errand)
            self.ended.emit(errand.number, "", True)
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
        """End the process, once it has tidied up; the runner is of no use afterwards."""
        self._closed = True
        self._grace.stop()
        self._waiting = self._running = None
        self._errands.clear()
        if self._child is not None:
            child, self._child = self._child, None
            child.close()

    def _start(self, asked: Job | Errand) -> None:
        self.warm_up()
        was_busy = self._running is not None
        self._running = asked
        self._stopping = False
        if not was_busy:
            self.busy_changed.emit(True)
        if self._child is None:
            return
        try:
            self._child.ask(asked)
        except Lost:
            # Heard of later, when whoever asked knows the number.
            self._arrived.emit(self._child, None)

    def _read(self, child: Child) -> None:
        """Pass answers on, in a thread that only waits; ends with the process."""
        while True:
            try:
                answer = child.answer()
            except Lost:
                answer = None
            except Exception:  # noqa: BLE001  whatever it is, the window must not wait for ever
                # The connection was closed on this side while the thread waited on it; or the answer cannot
                # be read, as when the program was brought up to date beneath a running window.
                answer = None
            try:
                self._arrived.emit(child, answer)
            except RuntimeError:
                return
            if answer is None:
                return

    def _take(self, child: Child, answer: Answer | None) -> None:
        if child is not self._child:
            return
        if answer is None:
            self._lost(child)
            return
        if self._running is None or answer.number != self._running.number:
            return
        match answer:
            case SculptShown():
                self.sculpt_shown.emit(answer)
            case StepShown(number=number, step=step):
                self.step_shown.emit(number, step)
            case Reported(fraction=fraction, text=text):
                self.reported.emit(fraction, text)
            case Gave(number=number, what=what):
                self.gave.emit(number, what)
            case Ended(number=number, failed=failed, stopped=stopped):
                self._finish(number, failed, stopped)

    def _finish(self, number: int, failed: str, stopped: bool) -> None:
        self._grace.stop()
        self._running = None
        self.ended.emit(number, failed, stopped)
        if self.busy:  # whoever heard it has asked for more
            return
        if self._waiting is not None:
            job, self._waiting = self._waiting, None
            self._start(job)
        elif self._errands:
            self._start(self._errands.popleft())
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
            sentence = LOST if isinstance(running, Job) else LOST_ERRAND
            self._finish(running.number, "" if self._stopping else sentence, self._stopping)

    def _end_process(self) -> None:
        if self._child is not None:
            self._lost(self._child)
