"""Work in a process of its own, so that a crash or an endless loop there ends in a sentence here."""

import contextlib
import math
import signal
import time
from itertools import count
from typing import Final, Generic, NoReturn, TypeVar, cast

from holdwright.errors import OWN_FAULT, GeometryError, HoldwrightError
from holdwright.pipeline.geometry_process.child import Child, Lost
from holdwright.pipeline.geometry_process.child_loop import Prepare
from holdwright.pipeline.geometry_process.messages import Ended, Reported, Task
from holdwright.progress import SILENT, Progress

T = TypeVar("T")

LOOK: Final = 0.3
"""Seconds between looks at whether the work is to stop, while the child says nothing."""


class CrashedError(HoldwrightError):
    """The child ended without a word."""

    exit_code = OWN_FAULT


class Contained(Generic[T]):
    """A child at work, begun anew after it was lost.

    Parameters
    ----------
    prepare, given, name, may_fork
        As of `Child`.
    """

    def __init__(self, prepare: Prepare, *given: object, name: str, may_fork: bool = False) -> None:
        self._prepare, self._given = prepare, given
        self._name, self._may_fork = name, may_fork
        self._child: Child | None = None
        self._numbers = count(1)

    def start(self) -> Child:
        """Start the child, if there is none, and have it prepare.

        Raises
        ------
        Exception
            What preparing raised.
        """
        if self._child is None:
            self._child = Child(self._prepare, *self._given, name=self._name, may_fork=self._may_fork)
            self._result(self._child, SILENT, None)
        return self._child

    def do(self, work: object, progress: Progress, seconds: float | None) -> T:
        """Have the work on a sculpt done; None for the time sets no limit.

        Raises
        ------
        Cancelled
            When `progress` was asked to stop: the child still works then, until it is ended.
        GeometryError
            When it takes more than so many seconds, or the system ended the child.
        CrashedError
            When the child is gone otherwise.
        Exception
            What the work raised.
        """
        child = self.start()
        with contextlib.suppress(Lost):  # it is raised when the answer is waited for
            child.ask(Task(next(self._numbers), work))
        return cast("T", self._result(child, progress, seconds))

    def end(self) -> None:
        """End the child."""
        child, self._child = self._child, None
        if child is not None:
            child.close()

    def _result(self, child: Child, progress: Progress, seconds: float | None) -> object:
        end = math.inf if seconds is None else time.monotonic() + seconds
        last = Reported(0, 0.0, "")
        while True:
            try:
                answer = child.answer(min(max(end - time.monotonic(), 0.0), LOOK))
            except Lost:
                self._raise_lost(child)
            if answer is None and time.monotonic() < end:
                progress.report(last.fraction, last.text)
            elif answer is None:
                self.end()
                raise GeometryError(
                    f"The work on it was stopped, as it took more than {seconds:.4g} s; simplify the sculpt, "
                    "or allow more with --time."
                )
            elif isinstance(answer, Reported):
                last = answer
                progress.report(answer.fraction, answer.text)
            elif isinstance(answer, Ended):
                if answer.error is not None:
                    raise answer.error
                return answer.result

    def _raise_lost(self, child: Child) -> NoReturn:
        code = child.exit_code()
        self.end()
        if code == -signal.SIGINT:
            raise KeyboardInterrupt
        name = signal.Signals(-code).name if code is not None and code < 0 else f"code {code}"
        if name == "SIGKILL":
            raise GeometryError(
                "The system ended the work on it, most likely for want of memory; close other programs, or "
                "simplify the sculpt."
            )
        raise CrashedError(
            f"The work on it ended all at once ({name}): this is a fault of the program that the file brings "
            "out; please report it with the file, and try the sculpt simplified or in another format."
        )
