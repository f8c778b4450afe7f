"""Work on sculpts in a process of its own, so that a crash or an endless loop there ends in a sentence here.

A command only asks, shows progress and prints; reading, geometry and writing are done by a child, one sculpt
after another. Where the system can fork, the child begins before anything heavy is imported.
"""

import contextlib
import faulthandler
import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import import_module
from typing import NoReturn

from holdwright.cli.error_output import OWN_FAULT, debugging
from holdwright.errors import GeometryError, HoldwrightError
from holdwright.pipeline.child import Child, Lost
from holdwright.pipeline.messages import Ended, Reported, Task
from holdwright.progress import SILENT, Progress


class CrashedError(HoldwrightError):
    """The child ended without a word."""

    exit_code = OWN_FAULT


@dataclass(frozen=True)
class CommandResult:
    """What a command has to say of one sculpt."""

    text: str
    """To be printed."""
    code: int = 0
    """Exit code."""


CommandWork = Callable[[int, Progress], CommandResult]
"""Does the work on the sculpt of that number."""


class CommandWorker:
    """Does a command's work in the child, without what dying native code has to say.

    Parameters
    ----------
    command, arguments
        As of `contained`.
    """

    def __init__(self, command: str, arguments: object) -> None:
        if debugging():
            faulthandler.enable(2)
        else:
            faulthandler.disable()
            os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
        self._work: CommandWork = import_module(f"holdwright.cli.{command}_command").prepare(arguments)

    def do(self, number: int, progress: Progress, _send: object) -> CommandResult:
        """Do the work on the sculpt of that number."""
        return self._work(number, progress)

    def rest(self) -> None:
        """Do nothing: nothing can wait."""


class Contained:
    """A child at a command's work, begun anew after it was lost; see `contained`."""

    def __init__(self, command: str, arguments: object) -> None:
        self._given = (command, arguments)
        self._child: Child | None = None

    def start(self) -> Child:
        """Start the child, if there is none, and have it prepare.

        Raises
        ------
        Exception
            What preparing raised.
        """
        if self._child is None:
            self._child = Child(CommandWorker, *self._given, name="holdwright-sculpt", may_fork=True)
            self._result(self._child, SILENT, None)
        return self._child

    def do(self, number: int, progress: Progress, seconds: float) -> CommandResult:
        """Have the work on a sculpt done.

        Raises
        ------
        GeometryError
            When it takes more than so many seconds, or the system ended the child.
        CrashedError
            When the child is gone otherwise.
        Exception
            What the work raised.
        """
        child = self.start()
        with contextlib.suppress(Lost):  # it is raised when the answer is waited for
            child.ask(Task(number + 1, number))
        result = self._result(child, progress, seconds)
        assert isinstance(result, CommandResult)
        return result

    def end(self) -> None:
        """End the child."""
        child, self._child = self._child, None
        if child is not None:
            child.close()

    def _result(self, child: Child, progress: Progress, seconds: float | None) -> object:
        end = None if seconds is None else time.monotonic() + seconds
        while True:
            try:
                answer = child.answer(None if end is None else max(end - time.monotonic(), 0.0))
            except Lost:
                self._raise_lost(child)
            if answer is None:
                self.end()
                raise GeometryError(
                    f"The work on it was stopped, as it took more than {seconds:.4g} s; simplify the sculpt, "
                    "or allow more with --time."
                )
            if isinstance(answer, Reported):
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


@contextlib.contextmanager
def contained(command: str, arguments: object) -> Iterator[Contained]:
    """Have a child for as long as the block runs; begun anew after it was lost.

    Parameters
    ----------
    command
        Its module's `prepare` is called in the child and gives a `CommandWork` for all sculpts.
    arguments
        For `prepare`; plain enough to be sent over.
    """
    child = Contained(command, arguments)
    main = threading.current_thread() is threading.main_thread()
    before = signal.signal(signal.SIGTERM, signal.default_int_handler) if main else None
    try:
        child.start()
        yield child
    finally:
        child.end()
        if main:
            signal.signal(signal.SIGTERM, before)
