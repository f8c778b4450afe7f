"""Children that work side by side: what a set asks for is done there, never in the process that asks."""

import os
import queue
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from typing import Any, Protocol, TypeVar

from holdwright.pipeline.geometry_process.contained import Contained
from holdwright.progress import SILENT, Progress

T = TypeVar("T")
R = TypeVar("R")


class Work(Protocol):
    """What a bench can do; it is sent over, as is what comes of it."""

    def do(self, progress: Progress) -> Any:
        """Do it, and give the result."""


class Do(Protocol):
    """Does works, and gives their results in order: `Benches.do_all` side by side, `do_here` one by one."""

    def __call__(self, works: Sequence[Work], /) -> list[Any]:
        """Do them; what one raises is raised."""


def do_here(works: Sequence[Work]) -> list[Any]:
    """Do works in this process, one after the other."""
    return [work.do(SILENT) for work in works]


class BenchWorker:
    """Does works in the child, one after the other."""

    def do(self, work: Work, progress: Progress, _send: Callable[[object], None]) -> Any:
        """Do a work; raises what it raises."""
        return work.do(progress)

    def rest(self) -> None:
        """Do nothing: nothing can wait."""


class Bench:
    """A child that does one work after the other, begun when there is a first."""

    def __init__(self) -> None:
        self._child: Contained[Any] = Contained(BenchWorker, name="holdwright-bench")

    def do(self, work: Work, progress: Progress = SILENT, seconds: float | None = None) -> Any:
        """Have a work done, within so many seconds where that is limited; raises as `Contained.do`."""
        return self._child.do(work, progress, seconds)

    def end(self) -> None:
        """End the child."""
        self._child.end()


class Benches:
    """So many benches; a context, at whose end no child is left.

    Parameters
    ----------
    count
        How many; 0 for one a core.
    stopped
        Asked all the time: when it answers True, work ends in `Cancelled`.
    """

    def __init__(self, count: int = 0, stopped: Callable[[], bool] | None = None) -> None:
        self.count = count or os.cpu_count() or 1
        self._stopped, self._left = stopped, threading.Event()
        self._checked = Progress(None, self.is_stopped)
        self._idle: queue.LifoQueue[Bench] = queue.LifoQueue()
        for _ in range(self.count):
            self._idle.put(Bench())
        self._threads = ThreadPoolExecutor(self.count, "holdwright-bench")

    def __enter__(self) -> "Benches":
        """Begin."""
        return self

    def __exit__(self, *_raised: object) -> None:
        """Give up what is being done, and end all children."""
        self._left.set()
        self._threads.shutdown(cancel_futures=True)
        enders = [threading.Thread(target=self._idle.get_nowait().end) for _ in range(self.count)]
        for ender in enders:
            ender.start()
        for ender in enders:
            ender.join()

    def is_stopped(self) -> bool:
        """Tell whether work is to end."""
        return self._left.is_set() or (self._stopped is not None and self._stopped())

    def check(self) -> None:
        """Raise `Cancelled` where work is to end."""
        self._checked.report(0.0)

    def each(self, act: Callable[[Bench, T], R], items: Sequence[T]) -> Iterator[R]:
        """Act on each of several things at the next free bench, and give what comes of it as it comes."""

        def at_bench(item: T) -> R:
            bench = self._idle.get()
            try:
                self.check()
                return act(bench, item)
            finally:
                self._idle.put(bench)

        waiting = {self._threads.submit(at_bench, item) for item in items}
        for done in as_completed(waiting):
            waiting.discard(done)
            yield done.result()

    def do_all(self, works: Sequence[Work]) -> list[Any]:
        """Do works side by side, and give their results in order; what one raises is raised."""

        def numbered(bench: Bench, number: int) -> tuple[int, Any]:
            return number, bench.do(works[number], self._checked)

        found = dict(self.each(numbered, range(len(works))))
        return [found[number] for number in range(len(works))]
