"""Processes started for work: with no code from the current folder, and ended with whoever started them.

Kept light: a command forks before anything heavy is imported.
"""

import multiprocessing
import os
import signal
import sys
import threading
import warnings
from collections.abc import Callable
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any, Final

_DIE_WITH_PARENT: Final = 1
"""PR_SET_PDEATHSIG of prctl(2)."""


def start_process(
    serve: Callable[..., None], *given: object, name: str, may_fork: bool = False
) -> tuple[BaseProcess, Connection]:
    """Start a process that calls `serve` with its end of a connection and what is given.

    Parameters
    ----------
    serve
        A function of a module, as it may be sent over.
    may_fork
        Whether it may be a copy of this process where the system makes one safely.

    Returns
    -------
    process, connection
        The process and this side's end of the connection.
    """
    # Python puts the current folder first on the path of a process that is handed its program, as spawned
    # processes and the resource tracker are: there a module beside a stranger's sculpt would be run.
    os.environ["PYTHONSAFEPATH"] = "1"
    forks = may_fork and hasattr(os, "fork") and (sys.platform != "darwin" or "numpy" not in sys.modules)
    context = multiprocessing.get_context("fork") if forks else multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process: BaseProcess = context.Process(
        target=_live, args=(serve, theirs, ours if forks else None, *given), name=name, daemon=True
    )
    with warnings.catch_warnings():
        # Newer Pythons warn of threads; the only one is the progress bar's, which the child never uses.
        warnings.simplefilter("ignore", DeprecationWarning)
        process.start()
    theirs.close()
    return process, ours


def _live(
    serve: Callable[..., None], connection: Connection, other_end: Connection | None, *given: Any
) -> None:
    if other_end is not None:
        other_end.close()
    end_with_parent()
    serve(connection, *given)


def end_with_parent() -> None:
    """Have this process ended when the one that started it is, however that happens.

    Linux does it at once (prctl(2)); elsewhere a thread waits for the parent's end, and for a call of the
    kernel that is going on.
    """
    parent = multiprocessing.parent_process()
    if parent is None:
        return
    if sys.platform == "linux":
        import ctypes

        ctypes.CDLL(None).prctl(_DIE_WITH_PARENT, signal.SIGKILL)
        if os.getppid() != parent.pid:  # it has ended before
            os._exit(1)
    else:
        threading.Thread(target=_watch, args=(parent.sentinel,), daemon=True, name="parent's end").start()


def _watch(parents_end: int) -> None:
    wait([parents_end])
    os._exit(1)
