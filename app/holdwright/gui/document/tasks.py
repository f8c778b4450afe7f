"""Work on the hold other than to show it: files to be written, analyses; one number for each."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import TypeVar

from PySide6.QtCore import QEventLoop, QMetaObject, QObject, Qt, Signal

from holdwright.gui.document.geometry_supervisor import Runner
from holdwright.pipeline.messages import Errand, Work
from holdwright.pipeline.recipe import Recipe
from holdwright.pipeline.recipe_file import recipe_text

T = TypeVar("T")


def each_aside(items: Iterator[T]) -> Iterator[T]:
    """Give items, each made in a thread while the window goes on drawing; what its user does waits."""
    with ThreadPoolExecutor(1, "aside") as pool:
        while True:
            loop = QEventLoop()
            leave = partial(QMetaObject.invokeMethod, loop, "quit", Qt.ConnectionType.QueuedConnection)
            made = pool.submit(_made_then, leave, items)
            loop.exec(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
            item = made.result()
            if item is None:
                return
            yield item


def _made_then(leave: Callable[[], object], items: Iterator[T]) -> T | None:
    try:
        return next(items, None)
    finally:
        leave()


class Errands(QObject):
    """Sends errands through a runner and tells of these alone.

    Signals
    -------
    reported
        How far the errand of that number is, with a short text.
    ended
        An errand is over: its number, what it gave (None where it gave nothing), the failure's sentence or
        blank, and whether it was stopped.
    """

    reported = Signal(int, float, str)
    ended = Signal(int, object, str, bool)

    def __init__(self, runner: Runner, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._runner = runner
        self._given: dict[int, object] = {}
        runner.reported.connect(self._report)
        runner.gave.connect(self._take)
        runner.ended.connect(self._end)

    def send(self, work: Work, asked: object, recipe: Recipe) -> int:
        """Have work done on a recipe and its sculpt, and give the errand's number; 0 without a sculpt.

        Parameters
        ----------
        work
            A function of a module; see `pipeline.messages.Errand`.
        asked
            What the function is given.
        """
        if recipe.source is None:
            return 0
        number = self._runner.ask(Errand(0, work, recipe_text(recipe), recipe.source.path, asked))
        self._given[number] = None
        return number

    def stop(self, number: int) -> None:
        """Give an errand up, whether it runs or waits."""
        if number in self._given:
            self._runner.stop(number)

    def _report(self, fraction: float, text: str) -> None:
        if self._runner.running in self._given:
            self.reported.emit(self._runner.running, fraction, text)

    def _take(self, number: int, what: object) -> None:
        if number in self._given:
            self._given[number] = what

    def _end(self, number: int, failed: str, stopped: bool) -> None:
        if number in self._given:
            self.ended.emit(number, self._given.pop(number), failed, stopped)
