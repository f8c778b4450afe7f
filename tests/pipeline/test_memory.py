"""The geometry process may not take the whole machine with it."""

import multiprocessing
import sys

import pytest

from holdwright.memory_limits import memory_limit
from holdwright.pipeline.messages import Ended, Errand, Gave, Quit
from holdwright.pipeline.recipe import new_recipe
from holdwright.pipeline.recipe_file import recipe_text
from holdwright.pipeline.worker import CACHE_BYTES, OUT_OF_MEMORY, serve

CAP = 3 << 30


def take(_bench, size: int) -> int:
    """Take so many bytes for a moment."""
    return len(bytearray(size))


def test_work_beyond_the_cap_ends_in_a_sentence_and_the_process_goes_on(tmp_path):
    if not sys.platform.startswith("linux"):
        pytest.skip("only Linux holds a process to so much memory")
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=serve, args=(theirs, str(tmp_path), CACHE_BYTES, CAP), daemon=True)
    process.start()
    theirs.close()
    answers = []
    for number, size in enumerate((2 * CAP, 1000), start=1):
        ours.send(Errand(number, take, recipe_text(new_recipe()), "", size))
        while not answers or not (isinstance(answers[-1], Ended) and answers[-1].number == number):
            assert ours.poll(60)
            answers.append(ours.recv())
    ours.send(Quit())
    process.join(10)
    assert answers == [Ended(1, OUT_OF_MEMORY), Gave(2, 1000), Ended(2)]
    assert process.exitcode == 0


def test_the_cap_leaves_the_machine_some():
    most = memory_limit()
    assert most is None or most > CAP / 8
