"""Reads in a thread what the window waits for."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import TypeVar

from PySide6.QtCore import QEventLoop, QMetaObject, Qt

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
