"""Work on sculpts in a process of its own, so that a crash or an endless loop there ends in a sentence here.

A command only asks, shows progress and prints; reading, geometry and writing are done by a child, one sculpt
after another. Where the system can fork, the child begins before anything heavy is imported.
"""

import contextlib
import faulthandler
import os
import signal
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import import_module

from holdwright.cli.error_output import debugging
from holdwright.pipeline.geometry_process.contained import Contained
from holdwright.progress import Progress


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


@contextlib.contextmanager
def contained(command: str, arguments: object) -> Iterator[Contained[CommandResult]]:
    """Have a child for as long as the block runs; begun anew after it was lost.

    Parameters
    ----------
    command
        Its module's `prepare` is called in the child and gives a `CommandWork` for all sculpts.
    arguments
        For `prepare`; plain enough to be sent over.
    """
    child: Contained[CommandResult] = Contained(
        CommandWorker, command, arguments, name="holdwright-sculpt", may_fork=True
    )
    main = threading.current_thread() is threading.main_thread()
    before = signal.signal(signal.SIGTERM, signal.default_int_handler) if main else None
    try:
        child.start()
        yield child
    finally:
        child.end()
        if main:
            signal.signal(signal.SIGTERM, before)
