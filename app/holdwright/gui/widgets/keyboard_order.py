"""In which order the keyboard goes from widget to widget: as a page is read."""

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget


def reading_order(within: QWidget, scrolled: QWidget | None = None) -> list[QWidget]:
    """Give what the Tab key reaches in a widget, from above to below and from left to right.

    Parameters
    ----------
    scrolled
        What is scrolled in it: that counts as one row there, however far it is scrolled.
    """
    reached = [
        each
        for each in within.findChildren(QWidget)
        if each.focusPolicy() & Qt.FocusPolicy.TabFocus
        and each.focusProxy() is None
        and each.isVisibleTo(within)
    ]

    def place(widget: QWidget) -> tuple[int, int, int]:
        middle = widget.rect().center()
        if scrolled is None or not scrolled.isAncestorOf(widget):
            here = widget.mapTo(within, middle)
            return here.y(), 0, here.x()
        here, area = widget.mapTo(scrolled, middle), scrolled.parentWidget() or within
        return area.mapTo(within, area.rect().topLeft()).y(), here.y(), here.x()

    return sorted(reached, key=place)


def link(path: Sequence[QWidget]) -> None:
    """Let the keyboard go along a path."""
    for before, after in pairwise(path):
        QWidget.setTabOrder(before, after)
