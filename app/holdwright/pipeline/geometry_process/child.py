"""A child process for work, as the process that started it sees it: start, ask, stop, end.

Kept light: a command forks before anything heavy is imported. Native code can end the process it runs in, or
hold the interpreter, or never come back, and nothing in Python can stop it from within.
"""

import multiprocessing
import os
import sys
import warnings
from contextlib import suppress
from multiprocessing.connection import wait
from multiprocessing.process import BaseProcess
from typing import Final

from holdwright.pipeline.geometry_process.child_loop import Prepare, serve
from holdwright.pipeline.geometry_process.messages import Answer, Quit, Request

PATIENCE: Final = 2.0
"""Seconds a child requested to end is waited for: it cleans up after itself, if it still can."""


class Lost(Exception):  # noqa: N818  a state of the other side, not an error of ours
    """The child is gone: killed, crashed, or ended."""


class Child:
    """A running child process; see `child_loop.serve` for its side.

    Parameters
    ----------
    prepare, given
        Called in the child, with what is given; a function of a module, as it may be sent over.
    name
        Of the process.
    may_fork
        Whether it may be a copy of this process, where the system makes one safely.
    """

    def __init__(self, prepare: Prepare, *given: object, name: str, may_fork: bool = False) -> None:
        # Python puts the current folder first on the path of a process that is handed its program, as spawned
        # processes and the resource tracker are: there a module beside a stranger's sculpt would be run.
        os.environ["PYTHONSAFEPATH"] = "1"
        forks = may_fork and hasattr(os, "fork") and (sys.platform != "darwin" or "numpy" not in sys.modules)
        context = multiprocessing.get_context("fork") if forks else multiprocessing.get_context("spawn")
        self._connection, theirs = context.Pipe()
        ours = self._connection if forks else None
        self._process: BaseProcess = context.Process(
            target=serve, args=(theirs, ours, prepare, *given), name=name, daemon=True
        )
        with warnings.catch_warnings():
            # Newer Pythons warn of threads; the only one is the progress bar's, which the child never uses.
            warnings.simplefilter("ignore", DeprecationWarning)
            self._process.start()
        theirs.close()

    @property
    def pid(self) -> int:
        """Of the process."""
        return self._process.pid or 0

    def exit_code(self) -> int | None:
        """Give the exit code of a lost child; None where it still runs after a while."""
        self._process.join(PATIENCE)
        return self._process.exitcode

    def ask(self, request: Request) -> None:
        """Send a request.

        Raises
        ------
        Lost
            When the process is gone.
        """
        try:
            self._connection.send(request)
        except (OSError, ValueError) as error:
            raise Lost("The child process is gone.") from error

    def answer(self, timeout: float | None = None) -> Answer | None:
        """Wait for the next answer; None when none came within `timeout` seconds.

        Raises
        ------
        Lost
            When the process is gone and nothing it said is left.
        """
        try:
            if not wait([self._connection], timeout):
                return None
            answer: Answer = self._connection.recv()
        except (EOFError, OSError) as error:
            raise Lost("The child process is gone.") from error
        return answer

    def kill(self) -> None:
        """End the process at once."""
        self._process.kill()
        self._process.join(PATIENCE)
        self._connection.close()

    def close(self) -> None:
        """End the process: first by request, so that it tidies up, then by signal, then by force."""
        with suppress(OSError, ValueError):
            self._connection.send(Quit())
        self._process.join(PATIENCE / 2)
        if self._process.is_alive() and sys.platform != "win32":  # there no signal can be heard
            self._process.terminate()
            self._process.join(PATIENCE / 2)
        self.kill()
