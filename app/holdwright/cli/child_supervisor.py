"""Work on sculpts in a process of its own, so that a crash or an endless loop there ends in a sentence here.

Native code can end the process it runs in, or never come back, and nothing in Python can stop it from within.
So a command only asks, shows progress and prints; reading, geometry and writing are done by a child, one
sculpt after another. Where the system can fork, the child begins before anything heavy is imported, and costs
nothing.
"""

import contextlib
import signal
import threading
import time
from collections.abc import Iterator
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Final, NoReturn

from holdwright.cli.child_worker import Prepare, Told, serve
from holdwright.cli.error_output import OWN_FAULT
from holdwright.errors import GeometryError, HoldwrightError
from holdwright.pipeline.child_process import start_process
from holdwright.progress import SILENT, Progress

PATIENCE: Final = 2.0
"""Seconds a child that was told to end is waited for: it cleans up after itself, if it still can."""


class CrashedError(HoldwrightError):
    """The child ended without a word."""

    exit_code = OWN_FAULT


class StarvedError(HoldwrightError):
    """The system ended the child."""

    exit_code = GeometryError.exit_code


class TimedOutError(HoldwrightError):
    """The work took longer than it may."""

    exit_code = GeometryError.exit_code


class Contained:
    """A child at work; see `contained`."""

    def __init__(self, prepare: Prepare, asked: object) -> None:
        self._prepare = prepare
        self._asked = asked
        self._process: BaseProcess | None = None
        self._connection: Connection | None = None

    def start(self) -> None:
        """Start a child and have it prepare.

        Raises
        ------
        Exception
            What preparing raised.
        """
        self._process, self._connection = start_process(
            serve, self._prepare, self._asked, name="holdwright-sculpt", may_fork=True
        )
        self._answer(SILENT, None)

    def do(self, number: int, progress: Progress, seconds: float) -> Told:
        """Have a piece of work done.

        Raises
        ------
        TimedOutError
            When it takes more than so many seconds.
        CrashedError, StarvedError
            When the child is gone.
        Exception
            What the work raised.
        """
        if self._connection is None:
            self.start()
        assert self._connection is not None
        try:
            self._connection.send(number)
        except OSError:
            self._raise_lost()
        told = self._answer(progress, seconds)
        assert told is not None
        return told

    def end(self) -> None:
        """End the child: first asked to, then made to."""
        process, connection = self._process, self._connection
        self._process = self._connection = None
        if connection is not None:
            connection.close()
        if process is not None:
            process.terminate()
            process.join(PATIENCE)
            process.kill()
            process.join()

    def _answer(self, progress: Progress, seconds: float | None) -> Told | None:
        connection = self._connection
        assert connection is not None
        end = None if seconds is None else time.monotonic() + seconds
        while True:
            if not connection.poll(None if end is None else max(end - time.monotonic(), 0.0)):
                self.end()
                raise TimedOutError(
                    f"The work on it was stopped, as it took more than {seconds:.4g} s; simplify the sculpt, "
                    "or allow more with --time."
                )
            try:
                kind, *content = connection.recv()
            except (EOFError, OSError):
                self._raise_lost()
            if kind == "progress":
                progress.report(*content)
            elif kind == "failed":
                raise content[0]
            else:
                told: Told | None = content[0]
                return told

    def _raise_lost(self) -> NoReturn:
        process = self._process
        assert process is not None
        process.join(PATIENCE)
        code = process.exitcode
        self.end()
        if code == -signal.SIGINT:
            raise KeyboardInterrupt
        name = signal.Signals(-code).name if code is not None and code < 0 else f"code {code}"
        if name == "SIGKILL":
            raise StarvedError(
                "The system ended the work on it, most likely for want of memory; close other programs, or "
                "simplify the sculpt."
            )
        raise CrashedError(
            f"The work on it ended all at once ({name}): this is a fault of the program that the file brings "
            "out; please report it with the file, and try the sculpt simplified or in another format."
        )


@contextlib.contextmanager
def contained(prepare: Prepare, asked: object) -> Iterator[Contained]:
    """Have a child for as long as the block runs; begun anew after it was lost.

    Parameters
    ----------
    prepare
        Called in the child.
    asked
        For `prepare`; plain enough to be sent over.
    """
    child = Contained(prepare, asked)
    main = threading.current_thread() is threading.main_thread()
    before = signal.signal(signal.SIGTERM, signal.default_int_handler) if main else None
    try:
        child.start()
        yield child
    finally:
        child.end()
        if main:
            signal.signal(signal.SIGTERM, before)
