"""Geometry processes for tests of the window, copied from one process that has loaded everything.

Loading takes each process that is begun anew nearly a second. How such a process begins is tested where
nothing is copied: `tests/pipeline/geometry_process/test_child.py` and `test_child_process.py`.
"""

import multiprocessing
import os
import sys
from collections.abc import Callable
from multiprocessing.process import BaseProcess
from typing import Any

import pytest

from holdwright.pipeline.geometry_process import child, child_loop


class CopyingContext:
    """Begins processes as `multiprocessing` does, those to be begun anew as copies of a loaded one."""

    def __init__(self) -> None:
        self._server = multiprocessing.get_context("forkserver")
        self._server.set_forkserver_preload(["geometry_loaded"])

    def get_context(self, kind: str) -> Any:
        """Give what begins processes of a kind."""
        return self if kind == "spawn" else multiprocessing.get_context(kind)

    def Pipe(self) -> Any:  # noqa: N802  named as in multiprocessing
        """Give both ends of a connection."""
        return self._server.Pipe()

    def Process(self, *, target: Callable[..., None], args: tuple[Any, ...], **more: Any) -> BaseProcess:  # noqa: N802
        """Give a process that is to be started."""
        return self._server.Process(target=served, args=(dict(os.environ), target, *args), **more)


def served(environment: dict[str, str], target: Callable[..., None], *args: Any) -> None:
    """Do a process's work in the surroundings it would have been begun in.

    What started it is the process it is a copy of, which ends when the tests do.
    """
    os.environ.clear()
    os.environ.update(environment)
    child_loop.end_with_parent = lambda: None
    target(*args)


@pytest.fixture(scope="session")
def copied_processes():
    """Begin geometry processes as copies, where the system can."""
    with pytest.MonkeyPatch.context() as patch:
        if sys.platform == "linux":
            patch.setattr(child, "multiprocessing", CopyingContext())
        yield
