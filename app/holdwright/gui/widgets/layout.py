"""Rows and columns of widgets, declared in one call, and the labels and scrolled areas in them."""

from collections.abc import Callable
from typing import Final, TypeVar

from PySide6.QtCore import QEvent, QObject, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLayout,
    QScrollArea,
    QScrollBar,
    QSizePolicy,
    QStyle,
    QVBoxLayout,
    QWidget,
)

from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import (
    PARTS,
    Painted,
    Restyled,
    knob_of,
    paint_swatch,
    set_role,
    swatch_side,
    tones,
)
from holdwright.printable import printable

Item = QWidget | QLayout | int | None
"""What stands in a row or column: a widget, a further layout, so many pixels of room, or (None) a stretch."""

Placed = Item | tuple[Item, int]
Margins = tuple[int, int, int, int] | None
_NONE: Final[Margins] = (0, 0, 0, 0)
BAR_WIDTH: Final = 2 * style.GRID
W = TypeVar("W", bound=QWidget)


def row(*items: Placed, on: QWidget | None = None, margins: Margins = _NONE, gap: int = 0) -> QHBoxLayout:
    """Lay items out from left to right; see `column`."""
    layout = QHBoxLayout() if on is None else QHBoxLayout(on)
    return _filled(layout, items, margins, gap)


def column(*items: Placed, on: QWidget | None = None, margins: Margins = _NONE, gap: int = 0) -> QVBoxLayout:
    """Lay items out from top to bottom.

    Parameters
    ----------
    items
        Each alone, or with its share of the room that is left.
    on
        The widget that is laid out; None for a layout within another.
    margins, gap
        Pixels at left, top, right and bottom (None: the style's own), and between items.
    """
    layout = QVBoxLayout() if on is None else QVBoxLayout(on)
    return _filled(layout, items, margins, gap)


L = TypeVar("L", bound=QBoxLayout)


def _filled(layout: L, items: tuple[Placed, ...], margins: Margins, gap: int) -> L:
    if margins is not None:
        layout.setContentsMargins(*margins)
    layout.setSpacing(gap)
    for each in items:
        item, share = each if isinstance(each, tuple) else (each, 0)
        if item is None:
            layout.addStretch(share or 1)
        elif isinstance(item, int):
            layout.addSpacing(item)
        elif isinstance(item, QLayout):
            layout.addLayout(item, share)
        else:
            layout.addWidget(item, share)
    return layout


def discard(layout: QLayout, widget: QWidget) -> None:
    """Take a widget out of a layout, for good."""
    layout.removeWidget(widget)
    widget.hide()
    widget.deleteLater()


def clear(layout: QLayout, *preserved: QWidget) -> None:
    """Take all widgets out of a layout; they go for good, but for those to be preserved."""
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None and widget not in preserved:
            discard(layout, widget)


def resize_list(layout: QLayout, widgets: list[W], count: int, make: Callable[[], W]) -> None:
    """Bring a list of widgets, each in the layout, to a length; those within it are reused."""
    while len(widgets) > count:
        discard(layout, widgets.pop())
    while len(widgets) < count:
        widgets.append(make())
        layout.addWidget(widgets[-1])
        widgets[-1].show()


class TextLabel(Restyled, QLabel):
    """A label in the scheme's colours.

    Parameters
    ----------
    wrap, bold, title, selectable
        Whether words wrap, are heavier, are of the larger size, and can be selected with the mouse.
    faint
        Whether it may be passed over.
    tint
        Name of the colour behind it, such as "error"; blank for none.
    """

    def __init__(
        self,
        text: str = "",
        parent: QWidget | None = None,
        *,
        wrap: bool = False,
        bold: bool = False,
        title: bool = False,
        selectable: bool = False,
        faint: bool = False,
        tint: str = "",
    ) -> None:
        super().__init__(text, parent)
        self._ink, self._tint = "faint" if faint else "", tint
        self.setWordWrap(wrap)
        if bold:
            self.setFont(style.weighted(self.font()))
        if title:
            self.setFont(style.title_font())
        if selectable:
            self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        if tint:
            self.setAutoFillBackground(True)
            self.setContentsMargins(style.GAP, style.GRID, style.GAP, style.GRID)
        self.restyle()

    def restyle(self) -> None:
        """Take the colours of the scheme."""
        if self._ink:
            set_role(self, QPalette.ColorRole.WindowText, getattr(tones(self), self._ink))
        if self._tint:
            set_role(self, QPalette.ColorRole.Window, getattr(tones(self), self._tint))

    def show_words(self, words: str) -> None:
        """Show other words, or go where there are none."""
        self.setText(words)
        self.setAccessibleName(words)
        self.setVisible(bool(words))

    def set_faint(self, faint: bool) -> None:
        """Show the words fainter, or in ink again."""
        self._ink = "faint" if faint else "ink"
        self.restyle()


class SwatchLabel(TextLabel):
    """A heading; one of a part of the hold has a swatch of that part's colour before it."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent, bold=True)
        self._tone = text.lower()
        if self._tone in PARTS:
            self.setContentsMargins(swatch_side(self) + style.GAP, 0, 0, 0)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw words and swatch."""
        super().paintEvent(event)
        painter = QPainter(self)
        paint_swatch(painter, self, self._tone, 0.0, self.height() / 2)
        painter.end()


class ElidedLabel(TextLabel):
    """A line of text that gives way; the whole of it is in the tooltip.

    Attributes
    ----------
    whole
        All of the text.
    gives_way
        Where it does: in the middle, so that both ends of a file's name are read.
    """

    gives_way = Qt.TextElideMode.ElideMiddle

    def __init__(self, parent: QWidget | None = None, *, faint: bool = False) -> None:
        super().__init__("", parent, faint=faint)
        self.whole = ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def show_text(self, text: str) -> None:
        """Show another text."""
        self.whole = printable(text)
        self.setToolTip(self.whole)
        self.setAccessibleName(self.whole)
        self._fit()
        self.updateGeometry()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for all of the text."""
        return QSize(self.fontMetrics().horizontalAdvance(self.whole) + 2, super().sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Fit the text into another width."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        room = max(self.width(), 0)
        self.setText(self.fontMetrics().elidedText(self.whole, self.gives_way, room))


class ScrollBar(Painted, QScrollBar):
    """Upright; a slim knob and nothing else."""

    smooth = True

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give its width."""
        return QSize(BAR_WIDTH, super().sizeHint().height())

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the knob."""
        knob = knob_of(self, QStyle.ComplexControl.CC_ScrollBar, QStyle.SubControl.SC_ScrollBarSlider)
        painter.fillRect(self.rect(), self.palette().window())
        painter.setPen(Qt.PenStyle.NoPen)
        here = self.underMouse() or self.isSliderDown()
        painter.setBrush(QColor(tone.ink if here else tone.edge))
        painter.drawRoundedRect(QRectF(knob).adjusted(2, 1, -2, -1), 2, 2)


class ScrollArea(QScrollArea):
    """Scrolls what is in it upright, with a slim bar; the keyboard passes it by.

    Parameters
    ----------
    follows
        Whether it scrolls to what the keyboard comes to from elsewhere too; what is clicked stays.
    """

    def __init__(self, content: QWidget, parent: QWidget | None = None, *, follows: bool = False) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setVerticalScrollBar(ScrollBar(self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidget(content)
        application = QApplication.instance()
        if follows and isinstance(application, QApplication):
            application.focusChanged.connect(self._follow)

    def _follow(self, _before: QWidget | None, now: QWidget | None) -> None:
        clicked = QApplication.mouseButtons() != Qt.MouseButton.NoButton
        content = self.widget()
        if content is not None and now is not None and not clicked and content.isAncestorOf(now):
            self.ensureWidgetVisible(now, 0, style.GAP)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Let the layout settle first: else content has the height of before a part of it came."""
        if event.type() == QEvent.Type.LayoutRequest and isinstance(watched, QWidget):
            layout = watched.layout()
            if layout is not None:
                layout.activate()
        return super().eventFilter(watched, event)
