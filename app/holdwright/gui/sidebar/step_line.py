"""The line of one step on the route card."""

import re
from typing import Final

from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QFont,
    QFontMetrics,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from holdwright.gui.sidebar.step_state import StepState
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.number_format import typeset
from holdwright.gui.widgets.painting import LEFT, RIGHT, Painted, icon_side, paint_frame, paint_mark
from holdwright.gui.widgets.progress_line import HEIGHT, ProgressLine

LEAST_ROOM: Final = 12 * style.GRID
"""With less room than this, pixels, a line of figures is left to the tooltip."""

_PARTS: Final = re.compile(r", (?![-\d.]+ ?(?:mm|in))")
_DECIMALS: Final = re.compile(r"\d+\.\d+")

DOTS: Final = 6 * style.GRID

_KEYS: Final = {
    Qt.Key.Key_Up: "up",
    Qt.Key.Key_Down: "down",
    Qt.Key.Key_Home: "first",
    Qt.Key.Key_End: "last",
    Qt.Key.Key_Space: "skip",
    Qt.Key.Key_Delete: "take_out",
    Qt.Key.Key_Backspace: "take_out",
}
_SHOW_DOTS: Final = (
    QEvent.Type.HoverEnter,
    QEvent.Type.HoverLeave,
    QEvent.Type.FocusIn,
    QEvent.Type.FocusOut,
)


class StepLine(Painted, QAbstractButton):
    """Number, title, figures and marks of a step; opened and closed by a click.

    Parameters
    ----------
    menu
        Whether it has one; without, a click leads elsewhere and leaves it as it is.

    Attributes
    ----------
    state
        What is shown.

    Signals
    -------
    keyed
        "up", "down", "first", "last": where the keyboard is to go; "skip", "take_out", "move_up",
        "move_down": what is to be done.
    menu_requested
        Place on the screen for the step's menu.
    flags_clicked
        Its findings are to be shown.
    """

    keyed = Signal(str)
    menu_requested = Signal(QPoint)
    flags_clicked = Signal()

    def __init__(self, state: StepState, parent: QWidget | None = None, *, menu: bool = True) -> None:
        super().__init__(parent)
        self.state = state
        self._has_menu = menu
        self._flags = QRect()
        self.setCheckable(menu)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._dots = QuietButton("Step menu", self, icon_only="more", clicked=self._open_menu)
        self._dots.hide()
        self._work = ProgressLine(self)
        self._work.hide()
        self.toggled.connect(self._show_dots)
        self.show_state(state)

    def show_state(self, state: StepState) -> None:
        """Show another state."""
        self.state = state
        self.setText(state.title)
        self.setAccessibleName(state.title)
        self.setAccessibleDescription(typeset(state.description))
        told = (state.summary, state.result, state.failed, state.awaited)
        self.setToolTip(typeset("\n".join(filter(None, told))))
        self._dots.setAccessibleName(f"Menu of {state.title}")
        self._work.set_working(state.working)
        self._work.setVisible(state.working)
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the height of a row."""
        height = max(style.ROW, self.fontMetrics().height() + 3 * style.GRID)
        return QSize(style.SIDEBAR_WIDTH, height)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Give room for number, title and marks."""
        title = QFontMetrics(self._title_font()).horizontalAdvance(self.text())
        marks = DOTS + icon_side(self) + 2 * style.GAP
        return QSize(self.title_left() + title + marks, self.sizeHint().height())

    def title_left(self) -> int:
        """Give where the title begins, for what stands beneath to line up with."""
        return style.MARGIN + self.fontMetrics().horizontalAdvance("00") + 2 * style.GAP

    def keyboard_path(self) -> list[QWidget]:
        """Give the parts the keyboard reaches, in order."""
        return [self, self._dots]

    # What the user does

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Walk along the card, open, skip and take out by key."""
        key = Qt.Key(event.key())
        what = _KEYS.get(key, "")
        if event.modifiers() & Qt.KeyboardModifier.AltModifier and what in ("up", "down"):
            what = f"move_{what}"
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        elif not what:
            super().keyPressEvent(event)
        elif not (event.isAutoRepeat() and what in ("skip", "take_out")):
            self.keyed.emit(what)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Keep a button's own use of the space bar away."""
        if event.key() != Qt.Key.Key_Space:
            super().keyReleaseEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Take a click on the flag apart from one on the line."""
        if self._flags.contains(event.position().toPoint()) and event.button() == Qt.MouseButton.LeftButton:
            self.flags_clicked.emit()
        else:
            super().mousePressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Let a double click do what one click does."""
        event.accept()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Ask for the menu, by mouse or key."""
        if not self._has_menu:
            return
        by_key = event.reason() == QContextMenuEvent.Reason.Keyboard
        self.menu_requested.emit(self._menu_place() if by_key else event.globalPos())

    def event(self, event: QEvent) -> bool:
        """Show the dots while the pointer or the keyboard is here."""
        answer = super().event(event)
        if event.type() in _SHOW_DOTS:
            self._show_dots()
            self.update()
        return answer

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Put dots and hairline in their places."""
        super().resizeEvent(event)
        self._dots.setGeometry(self.width() - DOTS - style.GRID, 2, DOTS, self.height() - 4)
        self._work.setGeometry(0, self.height() - HEIGHT, self.width(), HEIGHT)

    # Drawing

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw number, title, figures and marks."""
        self._paint_ground(painter, tone)
        faint = self.state.off or self.state.stale
        left = self.title_left()
        painter.setPen(QColor(tone.faint))
        number = QRect(0, 0, left - style.GAP, self.height())
        painter.drawText(number, RIGHT, self.state.number)
        painter.setFont(self._title_font())
        painter.setPen(QColor(tone.faint if faint else tone.ink))
        right = self.width() - DOTS - style.GAP
        room = QRect(left, 0, right - left, self.height())
        metrics = painter.fontMetrics()
        title = metrics.elidedText(self.text(), Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, LEFT, title)
        painter.setFont(self.font())
        right = self._paint_flags(painter, tone, right)
        start = left + metrics.horizontalAdvance(title) + 3 * style.GRID
        painter.setPen(QColor(tone.faint if faint else tone.ink))
        shown = shortened(typeset(self._result()), self.fontMetrics(), right - start)
        painter.drawText(QRect(start, 0, right - start, self.height()), RIGHT, shown)

    def _paint_ground(self, painter: QPainter, tone: style.Colours) -> None:
        if self.isChecked():
            painter.fillRect(self.rect(), QColor(tone.sunken))
        elif self.underMouse():
            painter.fillRect(self.rect(), QColor(style.mixed(tone.paper, tone.sunken, 0.6)))
        if self.hasFocus():
            painter.setPen(QColor(tone.ink))
            paint_frame(painter, self, 1)

    def _paint_flags(self, painter: QPainter, tone: style.Colours, right: int) -> int:
        """Draw the flag with its count and give where the figures must end."""
        self._flags = QRect()
        if not self.state.flags or self.state.off:
            return right
        count = str(self.state.flags)
        wide = self.fontMetrics().horizontalAdvance(count)
        painter.setPen(QColor(tone.ink))
        place = QRect(right - wide, 0, wide + 1, self.height())
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, count)
        side = icon_side(self) - 2
        flag = QRect(right - wide - side - 4, 0, side, self.height())
        paint_mark(painter, "flag-filled" if self.state.grave else "flag", tone.ink, flag, side)
        self._flags = flag.united(place)
        return flag.left() - style.GAP

    def _result(self) -> str:
        """Give the figures of a closed line, or why it has none."""
        state = self.state
        if state.off or state.failed:
            return "skipped" if state.off else "failed"
        if self.isChecked():
            return ""
        return "needs a click" if state.awaited else state.result

    def _title_font(self) -> QFont:
        font = QFont(self.font())
        font.setStrikeOut(self.state.off)
        if self.isChecked():
            font.setWeight(QFont.Weight.DemiBold)
        return font

    def _show_dots(self) -> None:
        here = self._has_menu and (
            self.underMouse() or self.hasFocus() or self._dots.hasFocus() or self.isChecked()
        )
        self._dots.setVisible(here)
        self._dots.setFocusPolicy(
            Qt.FocusPolicy.TabFocus if self.isChecked() else Qt.FocusPolicy.NoFocus,
        )

    def _open_menu(self) -> None:
        self.menu_requested.emit(self._menu_place())

    def _menu_place(self) -> QPoint:
        return self.mapToGlobal(QPoint(self.width() - DOTS, self.height()))


def shortened(text: str, metrics: QFontMetrics, width: int) -> str:
    """Shorten a line of figures to a width: what comes last goes first, then decimals, then the unit."""
    parts = _PARTS.split(text)
    while len(parts) > 1 and metrics.horizontalAdvance(", ".join(parts)) > width:
        parts.pop()
    text = ", ".join(parts)
    if metrics.horizontalAdvance(text) > width:
        decimals = 1 if text.endswith(" in") else 0
        text = _DECIMALS.sub(lambda found: f"{float(found[0]):.{decimals}f}", text)
    if metrics.horizontalAdvance(text) > width:
        text = text.removesuffix(" mm").removesuffix(" in")
    if metrics.horizontalAdvance(text) <= width:
        return text
    return metrics.elidedText(text, Qt.TextElideMode.ElideRight, width) if width > LEAST_ROOM else ""
