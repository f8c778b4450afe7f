"""In which order the keyboard goes from widget to widget: as a page is read."""

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets import style

if TYPE_CHECKING:
    _Base = QWidget
else:
    _Base = object


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
        if scrolled is None or not scrolled.isAncestorOf(widget):
            here = _first_line(widget, within)
            return here.y(), 0, here.x()
        area, here = _first_line(scrolled.parentWidget() or within, within), _first_line(widget, scrolled)
        return area.y(), here.y(), here.x()

    return sorted(reached, key=place)


def _first_line(widget: QWidget, within: QWidget) -> QPoint:
    """Give the middle of a widget, or of the first line of a tall one."""
    middle = widget.rect().center()
    middle.setY(min(middle.y(), style.ROW // 2))
    return widget.mapTo(within, middle)


def link(path: Sequence[QWidget]) -> None:
    """Let the keyboard go along a path."""
    for before, after in pairwise(path):
        QWidget.setTabOrder(before, after)


class ReadInOrder(_Base):
    """Mixin for a page, to stand before the Qt class: the Tab key goes through it as it is read.

    Attributes
    ----------
    scrolled
        What is scrolled in it; None for nothing.
    begins_at
        What has the keyboard first where the page is given it; None for the page itself. As a focus proxy it
        would be what Tab comes to before all that stands above it.
    """

    scrolled: QWidget | None = None
    begins_at: QWidget | None = None

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Hand the keyboard on."""
        super().focusInEvent(event)
        if self.begins_at is not None:
            self.begins_at.setFocus(event.reason())

    def focusNextPrevChild(self, onward: bool) -> bool:  # noqa: N802
        """Go from above to below, also over lines that came later than what is beneath."""
        link(reading_order(self, self.scrolled))
        return super().focusNextPrevChild(onward)
