"""Processes of ours: copies of a child that share its work, and none that outlives the one that began it."""

import gc
import multiprocessing
import os
import pickle
import signal
import sys
import threading
import time
import warnings
from collections.abc import Callable, Generator, Sequence
from contextlib import suppress
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import Any, Final, TypeVar, cast

T = TypeVar("T")
R = TypeVar("R")

_MOST: Final = 8
"""Copies at a time: each takes memory."""

_PATIENCE: Final = 0.1
"""Seconds that threads of native code are given to come to rest."""

_DIE_WITH_PARENT: Final = 1
"""PR_SET_PDEATHSIG of prctl(2)."""


def spread(
    work: Callable[[T], R], items: Sequence[T], *, copies: bool
) -> Generator[tuple[int, R], None, None]:
    """Do the same work on each of several things, and give their numbers and results as they come.

    Close it when the rest is not wanted: then nothing goes on.

    Parameters
    ----------
    work
        From arrays to arrays, as what it gives crosses a pipe. A copy is without the threads of the kernel,
        which it may therefore call for no more than single polygons.
    items
        What to work on.
    copies
        Whether it pays to work in copies of this process. They are made on Linux, in a child process without
        other threads of Python, while those of native code wait; else, and for what a copy did not bring to
        its end, the work is done here.
    """
    left = set(range(len(items)))
    if copies and _may_copy():
        for number, result in _from_copies(work, items):
            left.discard(number)
            yield number, result
    for number in sorted(left):
        yield number, work(items[number])


def end_with(parent: int) -> None:
    """Have this process ended when the one that started it is, on Linux, at once (prctl(2))."""
    import ctypes

    ctypes.CDLL(None).prctl(_DIE_WITH_PARENT, signal.SIGKILL)
    if os.getppid() != parent:  # it has ended before
        os._exit(1)


def _may_copy() -> bool:
    """Tell whether a copy of this process can work: no thread that it is without holds what it needs."""
    # The window's process is nobody's child.
    if sys.platform != "linux" or multiprocessing.parent_process() is None or threading.active_count() > 1:
        return False
    own, end = str(threading.get_native_id()), time.monotonic() + _PATIENCE
    # The kernel's threads look round for more work for a moment before they wait.
    while any(_state(task) != "S" for task in Path("/proc/self/task").iterdir() if task.name != own):
        if time.monotonic() > end:
            return False
        time.sleep(0.001)
    return True


def _state(task: Path) -> str:
    """Give the state of a thread of native code, "S" where it waits (proc(5), Linux manual pages)."""
    try:
        return (task / "stat").read_text("ascii", errors="replace").rpartition(") ")[2][:1]
    except OSError:  # it has just ended
        return "S"


def _from_copies(work: Callable[[T], R], items: Sequence[T]) -> Generator[tuple[int, R], None, None]:
    """Give what copies of this process bring to an end; a copy that dies is simply missing."""
    count = min(len(os.sched_getaffinity(0)), len(items), _MOST)
    pids: dict[Connection, int] = {}
    try:
        for first in range(count if count > 1 else 0):
            with suppress(OSError):  # no process, or no memory, is to be had
                connection, pid = _copy(work, items, range(first, len(items), count))
                pids[connection] = pid
        busy = list(pids)
        while busy:
            for connection in cast(list[Connection], wait(busy)):
                try:
                    yield connection.recv()
                except (EOFError, OSError, pickle.UnpicklingError):
                    busy.remove(connection)
    finally:
        for connection, pid in pids.items():
            connection.close()
            with suppress(ProcessLookupError, ChildProcessError):
                os.kill(pid, signal.SIGKILL)
                os.waitpid(pid, 0)


def _copy(work: Callable[[T], Any], items: Sequence[T], share: Sequence[int]) -> tuple[Connection, int]:
    """Begin a copy at its share; what it sends, and its number."""
    parent = os.getpid()
    ours, theirs = multiprocessing.Pipe(duplex=False)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # newer Pythons warn of the kernel's threads
            pid = os.fork()
    except OSError:
        ours.close()
        raise
    finally:
        if os.getpid() == parent:
            theirs.close()
    if pid:
        return ours, pid
    code = 1
    try:
        end_with(parent)
        gc.disable()  # looking for garbage writes to memory that is shared until then
        for number in share:
            theirs.send((number, work(items[number])))
        code = 0
    finally:
        os._exit(code)  # whatever happened: tidying up is the parent's
