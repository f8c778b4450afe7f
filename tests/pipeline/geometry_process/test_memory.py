"""The geometry process may not take the whole machine with it."""

import sys

import pytest

from holdwright.memory_limits import limit_memory, memory_limit
from holdwright.pipeline.geometry_process.child import Child
from holdwright.pipeline.geometry_process.messages import Ended
from holdwright.pipeline.views.geometry_worker import GeometryWorker
from pipeline.geometry_process.child_answers import WAIT, answers, ask
from recipes import new_recipe

CAP = 3 << 30


def take(_context, size: int) -> int:
    """Take so many bytes for a moment."""
    return len(bytearray(size))


def capped(folder) -> GeometryWorker:
    limit_memory(CAP)
    return GeometryWorker(folder)


def test_work_beyond_the_cap_ends_in_an_error_and_the_process_goes_on(tmp_path):
    if not sys.platform.startswith("linux"):
        pytest.skip("only Linux holds a process to so much memory")
    child = Child(capped, tmp_path, name="capped")
    assert child.answer(WAIT) == Ended(0)
    ask(child, 1, take, new_recipe(), "", 2 * CAP)
    assert isinstance(answers(child, 1)[-1].error, MemoryError)
    ask(child, 2, take, new_recipe(), "", 1000)
    assert answers(child, 2) == [Ended(2, 1000)]
    child.close()
    assert child.exit_code() == 0


def test_the_cap_leaves_the_machine_some():
    most = memory_limit()
    assert most is None or most > CAP / 8
