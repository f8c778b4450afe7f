"""Runs jobs in the geometry process on the window's behalf, the latest one first."""

import threading
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from holdwright.pipeline.child import Child, Lost
from holdwright.pipeline.messages import Answer, Ended, Job, Reported, SculptShown, StepShown, Stop

GRACE_MS = 400
"""How long a job that was told to stop may go on before its process is ended and a new one started."""

LOST = "The geometry process ended unexpectedly at this step; nothing is lost. Try again, or change the step."


class Runner(QObject):
    """Keeps one geometry process busy with the latest job, and a job it was given meanwhile waiting.

    Signals
    -------
    sculpt_shown, step_shown, reported
        As the process answers, for the job running now alone; a step with the job's number.
    ended
        The job running now is over: its number, the failure's sentence or blank, and whether it was stopped.
    busy_changed
        Whether a job runs or waits.
    """

    sculpt_shown = Signal(object)
    step_shown = Signal(int, object)
    reported = Signal(float, str)
    ended = Signal(int, str, bool)
    busy_changed = Signal(bool)
    _arrived = Signal(object, object)

    def __init__(self, store_folder: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store_folder = store_folder
        self._child: Child | None = None
        self._running: Job | None = None
        self._waiting: Job | None = None
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
        """Whether a job runs or waits."""
        return self._running is not None

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

    def ask(self, job: Job) -> int:
        """Run a job as soon as may be; one already waiting is dropped for it.

        While a job runs it is let finish: its results are shown as they come, so that a drag shows something
        at every moment, and the latest job follows.

        Returns
        -------
        int
            The number given to the job.
        """
        self._number += 1
        job = replace(job, number=self._number)
        if self._running is not None:
            self._waiting = job
        else:
            self._start(job)
        return job.number

    def stop(self) -> None:
        """Give up what runs and what waits. A process that does not listen in time is ended."""
        self._waiting = None
        if self._running is None or self._child is None:
            return
        self._stopping = True
        try:
            self._child.ask(Stop(self._running.number))
        except Lost:
            self._end_process()
            return
        self._grace.start()

    def close(self) -> None:
        """End the process; the runner is of no use afterwards."""
        self._closed = True
        self._grace.stop()
        self._waiting = self._running = None
        if self._child is not None:
            child, self._child = self._child, None
            child.kill()

    def _start(self, job: Job) -> None:
        self.warm_up()
        was_busy = self._running is not None
        self._running = job
        self._stopping = False
        if not was_busy:
            self.busy_changed.emit(True)
        if self._child is None:
            return
        try:
            self._child.ask(job)
        except Lost:
            self._lost(self._child)

    def _read(self, child: Child) -> None:
        """Pass answers on, in a thread that only waits; ends with the process."""
        while True:
            try:
                answer = child.answer()
            except Lost:
                answer = None
            except (OSError, ValueError, TypeError):
                # The connection was closed on this side while the thread waited on it.
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
        else:
            self.busy_changed.emit(False)

    def _lost(self, child: Child) -> None:
        """Tell that the process is gone and start a new one; what waits is still done."""
        child.kill()
        self._child = None
        running = self._running
        self.warm_up()
        if running is not None:
            self._finish(running.number, "" if self._stopping else LOST, self._stopping)

    def _end_process(self) -> None:
        if self._child is not None:
            self._lost(self._child)
