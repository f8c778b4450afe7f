"""The child's side of work in a process of its own: take tasks, do them in turn, send what comes of them."""

import multiprocessing
import os
import pickle
import signal
import sys
import threading
import time
import traceback
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection, wait
from typing import Any, Final, Protocol, TypeVar

from holdwright.errors import Cancelled, HoldwrightError
from holdwright.loading import UNUSED, begin_loading, end_loading, load_lazily
from holdwright.memory_limits import check_memory, keep_memory, limit_memory, memory_limit
from holdwright.pipeline.geometry_process.messages import (
    Answer,
    Ended,
    Quit,
    Reported,
    Request,
    Sent,
    Stop,
    Task,
)
from holdwright.processes import end_with
from holdwright.progress import Progress

REPORT_EVERY: Final = 0.05
"""Seconds between reports of progress: more often nobody can read."""

T = TypeVar("T")


class Worker(Protocol):
    """Does the work of tasks."""

    def do(self, work: Any, progress: Progress, send: Callable[[object], None]) -> object:
        """Do a task's work and give its result; `send` sends parts of it before."""

    def rest(self) -> float | None:
        """Do a piece of what can wait; give the seconds after which to do more, None where there is none."""


Prepare = Callable[..., Worker]


def serve(connection: Connection, other_end: Connection | None, prepare: Prepare, *given: object) -> None:
    """Prepare, then work until requested to quit or until the other side is gone; the child's whole life.

    Parameters
    ----------
    connection
        Brings `Request`, takes `Answer`; the first is an `Ended` for the preparation.
    other_end
        The asking side's end where it came along with a fork.
    prepare, given
        What makes the worker, and from what.
    """
    if other_end is not None:
        other_end.close()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _interrupt)
    end_with_parent()
    limit_memory(memory_limit())
    keep_memory()
    with suppress(KeyboardInterrupt, OSError):
        _Loop(connection).run(prepare, *given)


def end_with_parent() -> None:
    """Have this process ended when the one that started it is, however that happens.

    Linux does it at once (prctl(2)); elsewhere a thread waits for the parent's end, and for a call of the
    kernel that is going on.
    """
    parent = multiprocessing.parent_process()
    if parent is None:
        return
    if sys.platform == "linux":
        end_with(parent.pid or 0)
    else:
        threading.Thread(target=_watch, args=(parent.sentinel,), daemon=True, name="parent's end").start()


def _watch(parents_end: int) -> None:
    wait([parents_end])
    os._exit(1)


def _interrupt(*_: object) -> None:
    """Stop once: what is done on the way out is not to be stopped again."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)
    raise KeyboardInterrupt


def _prepared(prepare: Prepare, *given: object) -> Worker:
    check_memory()
    begin_loading()
    load_lazily(*UNUSED)
    worker = prepare(*given)
    end_loading()
    return worker


class _Loop:
    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._waiting: deque[Task] = deque()
        self._stopped: set[int] = set()
        self._quit = False
        self._reported = 0.0

    def run(self, prepare: Prepare, *given: object) -> None:
        worker = self._attempt(0, lambda: _prepared(prepare, *given), tell=False)
        while worker is not None and not self._quit:
            self._take(0.0)
            if self._waiting:
                self._do(worker, self._waiting.popleft())
            elif not self._quit:
                self._take(worker.rest())

    def _do(self, worker: Worker, task: Task) -> None:
        number = task.number
        progress = Progress(
            lambda fraction, text: self._report(number, fraction, text), lambda: self._cancelled(number)
        )
        send = lambda content: self._say(Sent(number, content))  # noqa: E731
        self._attempt(number, lambda: worker.do(task.work, progress, send))

    def _attempt(self, number: int, step: Callable[[], T], *, tell: bool = True) -> T | None:
        """Do a step, send what came of it, or only that it is done, and give it; None for a failure."""
        try:
            result = step()
            self._say(Ended(number, result if tell else None))
        except Cancelled:
            self._say(Ended(number, stopped=True))
        except (Exception, KeyboardInterrupt) as error:  # noqa: BLE001  raised on the other side
            if not isinstance(error, HoldwrightError | MemoryError | KeyboardInterrupt):
                traceback.print_exc()
            self._quit |= isinstance(error, KeyboardInterrupt)
            self._say(Ended(number, error=_sendable(error)))
        else:
            return result
        return None

    def _take(self, seconds: float | None) -> None:
        """Take in requests; of none wait so many seconds for it, None for ever."""
        while not self._quit:
            try:
                if not self._connection.poll(seconds):
                    return
                request: Request = self._connection.recv()
            except (EOFError, OSError):  # nobody is left to ask
                request = Quit()
            seconds = 0.0
            match request:
                case Quit():
                    self._quit = True
                case Stop(number):
                    self._stopped.add(number)
                case Task():
                    self._waiting.append(request)

    def _say(self, answer: Answer) -> None:
        try:
            self._connection.send(answer)
        except OSError:  # nobody is left to tell: what goes on is given up at its next report
            self._quit = True

    def _report(self, number: int, fraction: float, text: str) -> None:
        now = time.monotonic()
        if now - self._reported >= REPORT_EVERY or fraction >= 1.0:
            self._reported = now
            self._say(Reported(number, fraction, text))

    def _cancelled(self, number: int) -> bool:
        self._take(0.0)
        return self._quit or number in self._stopped


def _sendable(error: BaseException) -> BaseException:
    """Give an error that survives being sent over."""
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:  # noqa: BLE001  some do not
        return RuntimeError(f"{type(error).__name__}: {error}")
    return error
