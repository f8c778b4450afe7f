"""Children that work side by side: order, errors, a crash, and a stop while they say nothing."""

import threading
import time

import pytest

from holdwright.errors import Cancelled, GeometryError
from holdwright.pipeline.geometry_process.contained import CrashedError
from holdwright.sets.benches import Bench, Benches
from sets.bench_works import Crash, Double, Refuse, Sleep


def test_works_are_done_side_by_side_and_outlive_errors_and_crashes():
    stopped = threading.Event()
    with Benches(2, stopped.is_set) as benches:
        assert benches.do_all([Double(number) for number in range(6)]) == [0, 2, 4, 6, 8, 10]
        with pytest.raises(GeometryError, match="It cannot be done"):
            benches.do_all([Double(1), Refuse()])
        with pytest.raises(CrashedError):
            benches.do_all([Crash()])
        assert benches.do_all([Double(4), Double(3)]) == [8, 6], "a lost child is begun anew"
        threading.Timer(0.5, stopped.set).start()
        begun = time.monotonic()
        with pytest.raises(Cancelled):
            benches.do_all([Sleep(), Sleep(), Sleep()])
    assert time.monotonic() - begun < 20.0, "children that say nothing are ended"


def test_a_work_past_its_limit_is_given_up():
    bench = Bench()
    try:
        with pytest.raises(GeometryError, match=r"took more than 0\.3 s"):
            bench.do(Sleep(), seconds=0.3)
    finally:
        bench.end()
