"""The window's end of the geometry process: start it, ask it, stop it, start it anew when it is lost."""

from multiprocessing.connection import Connection, wait
from pathlib import Path

from holdwright.pipeline.child_process import start_process
from holdwright.pipeline.messages import Answer, Quit, Request
from holdwright.pipeline.worker import serve

PATIENCE = 2.0
"""Seconds a process that was told to quit is waited for before it is ended."""


class Lost(Exception):  # noqa: N818  a state of the other side, not an error of ours
    """The geometry process is gone: killed, crashed, or ended."""


class Child:
    """A running geometry process.

    Parameters
    ----------
    store_folder
        Where it keeps results, so that the next one finds them.
    """

    def __init__(self, store_folder: Path) -> None:
        self._process, self._connection = start_process(serve, str(store_folder), name="holdwright-geometry")

    @property
    def connection(self) -> Connection:
        """Where answers come from; a reader may wait on it in a thread of its own."""
        return self._connection

    @property
    def pid(self) -> int:
        """Of the process."""
        return self._process.pid or 0

    @property
    def alive(self) -> bool:
        """Whether the process still runs."""
        return self._process.is_alive()

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
            raise Lost("The geometry process is gone.") from error

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
            raise Lost("The geometry process is gone.") from error
        return answer

    def kill(self) -> None:
        """End the process at once."""
        self._process.kill()
        self._process.join(PATIENCE)
        self._connection.close()

    def close(self) -> None:
        """Ask the process to quit, and end it if it does not."""
        try:
            self._connection.send(Quit())
        except (OSError, ValueError):
            self.kill()
            return
        self._process.join(PATIENCE)
        self.kill()
