"""The child's side of contained work: do what is asked, tell how far it is, send what came of it."""

import contextlib
import faulthandler
import os
import pickle
import signal
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any, Final

from holdwright.cli.error_output import debugging
from holdwright.memory_limits import limit_memory, memory_limit
from holdwright.progress import Progress

REPORT_EVERY: Final = 0.05
"""Seconds between reports of progress."""


@dataclass(frozen=True)
class Told:
    """What a piece of work comes to.

    Attributes
    ----------
    text
        To be printed.
    code
        Exit code.
    """

    text: str
    code: int = 0


Work = Callable[[int, Progress], Told]
"""Does the piece of work of that number."""

Prepare = Callable[[Any], Work]
"""Makes ready for all pieces of work from what was asked; a function of a module, as it may be sent over."""


def serve(connection: Connection, prepare: Prepare, asked: object) -> None:
    """Prepare, then work until nobody asks any more; the child's whole life.

    Parameters
    ----------
    connection
        Brings numbers of pieces of work; takes ("progress", fraction, text), ("gave", told) and
        ("failed", error).
    """
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _interrupt)
    if debugging():
        faulthandler.enable(2)
    else:
        faulthandler.disable()
        # What dying native code has to say is for those who look for its fault.
        os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    limit_memory(memory_limit())
    with contextlib.suppress(EOFError, OSError, KeyboardInterrupt):
        work = _attempt(connection, lambda: prepare(asked), tell=False)
        while work is not None:
            _attempt(connection, lambda number: work(number, _reporting(connection)), connection.recv())


def _attempt(connection: Connection, step: Callable[..., Any], *given: int, tell: bool = True) -> Any:
    """Do a step, send what came of it, or only that it is done, and give it; None for a failure."""
    try:
        result = step(*given)
    except BrokenPipeError:  # nobody is left to tell
        raise
    except (Exception, KeyboardInterrupt) as error:  # noqa: BLE001  told on the other side
        connection.send(("failed", _sendable(error)))
        return None
    connection.send(("gave", result if tell else None))
    return result


def _interrupt(*_: object) -> None:
    """Stop once: what is done on the way out is not to be stopped again."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)
    raise KeyboardInterrupt


def _reporting(connection: Connection) -> Progress:
    last = 0.0

    def listen(fraction: float, text: str) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last >= REPORT_EVERY:
            last = now
            connection.send(("progress", fraction, text))

    return Progress(listen)


def _sendable(error: BaseException) -> BaseException:
    """Give an error that survives being sent over, its trace along as a note where it is wanted."""
    if debugging():
        error.add_note("".join(traceback.format_exception(error)))
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:  # noqa: BLE001  some do not
        return RuntimeError(f"{type(error).__name__}: {error}")
    return error
