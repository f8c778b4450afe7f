import os
import signal
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from holdwright import processes
from holdwright.processes import spread

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="copies are made on Linux")

HERE = os.getpid()


@pytest.fixture
def copies(monkeypatch):
    monkeypatch.setattr(processes, "_may_copy", lambda: True)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1, 2})


def children():
    """Give the processes begun by this one, those that ended unwaited for among them."""
    return set(Path(f"/proc/{HERE}/task/{HERE}/children").read_text("ascii").split())


def _who(number):
    return number * number, os.getpid() == HERE


def test_copies_do_all_of_the_work(copies):
    assert dict(spread(_who, range(20), copies=True)) == {n: (n * n, False) for n in range(20)}


@pytest.mark.parametrize("asked", [False, True])
def test_without_copies_the_work_is_done_here_in_turn(asked):
    assert list(spread(_who, range(3), copies=asked)) == [(0, (0, True)), (1, (1, True)), (2, (4, True))]


def test_what_a_copy_that_dies_leaves_is_done_here(copies):
    def dies(number):
        if number == 4 and os.getpid() != HERE:
            os.kill(os.getpid(), signal.SIGKILL)
        return _who(number)

    done = dict(spread(dies, range(9), copies=True))
    assert {n: square for n, (square, _) in done.items()} == {n: n * n for n in range(9)}
    assert {n for n, (_, here) in done.items() if here} == {4, 7}


def test_no_process_to_be_had_means_work_here(copies, monkeypatch):
    def refused():
        raise BlockingIOError

    monkeypatch.setattr(os, "fork", refused)
    assert dict(spread(_who, range(3), copies=True))[2] == (4, True)


def test_an_error_of_the_work_is_raised_here(copies):
    with pytest.raises(ZeroDivisionError):
        list(spread(lambda number: 1 // number, [1, 0, 2], copies=True))


def test_nothing_goes_on_when_the_rest_is_not_wanted(copies):
    before = children()
    with closing(
        spread(lambda seconds: signal.pause() if seconds else os.getpid(), [0, 1, 1], copies=True)
    ) as all_:
        number, pid = next(all_)
    assert number == 0
    assert children() <= before
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_copies_end_with_the_process_that_began_them():
    program = (
        "import os, signal; from holdwright import processes; processes._may_copy = lambda: True;"
        "work = lambda number: signal.pause() if number else os.getpid();"
        "print(next(processes.spread(work, range(4), copies=True))[1], flush=True); os.kill(os.getpid(), 9)"
    )
    # The copies hold the pipe's end: it is read to its end only when they are gone.
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=20, check=False
    )
    assert done.returncode == -signal.SIGKILL
    with pytest.raises(ProcessLookupError):
        os.kill(int(done.stdout), 0)
