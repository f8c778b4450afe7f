"""Buttons that are words on paper, the one that is filled, and boxes to be ticked."""

from collections.abc import Callable
from functools import partial
from types import FunctionType
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QPoint, QRect, QRectF, QSize, Qt, SignalInstance
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPalette, QPen
from PySide6.QtWidgets import QAbstractButton, QCheckBox, QToolButton, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import LEFT, TICK, Painted, icon_side, paint_icon, paint_tick

if TYPE_CHECKING:
    _Button = QAbstractButton
else:
    _Button = object

_RADIUS: Final = 3.0


class ClickedByEnter(_Button):
    """Mixin, to stand before the Qt class: Enter does what a click does."""

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Click on Enter."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if not event.isAutoRepeat():
                self.click()
        else:
            super().keyPressEvent(event)


class QuietButton(ClickedByEnter, Painted, QToolButton):
    """Words, or an icon, without a box; a tint under the pointer, a line in ink beneath while it is on.

    Parameters
    ----------
    text
        The words; with `icon_only` what it is called.
    icon_name, icon_only
        Of an icon shown before the words, or in their place.
    primary
        Whether it is the one button filled with the accent.
    tip
        Its tooltip; blank for none, or for the words where they are not shown.
    clicked
        What a click does, or the signal it emits.
    """

    smooth = True

    def __init__(
        self,
        text: str,
        parent: QWidget | None = None,
        *,
        icon_name: str = "",
        primary: bool = False,
        icon_only: str = "",
        tip: str = "",
        clicked: Callable[[], object] | SignalInstance | None = None,
    ) -> None:
        super().__init__(parent)
        self._icon_name = icon_name or icon_only
        self._primary = primary
        self._words_shown = not icon_only
        self.setText(text)
        self.setAccessibleName(text)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setToolTip(tip or (text if icon_only else ""))
        if isinstance(clicked, FunctionType | partial):
            # Their arguments are their own: whether the button is on is not handed to them.
            self.clicked.connect(lambda _on=False: clicked())
        elif clicked is not None:
            self.clicked.connect(clicked)

    def set_words(self, words: str, *, icon_name: str = "") -> None:
        """Show other words, and call it by them; with another icon where one is named."""
        self._icon_name = icon_name or self._icon_name
        self.setText(words)
        self.setAccessibleName(words)
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for words and icon."""
        height = max(style.ROW - style.GRID, self.fontMetrics().height() + 2 * style.GRID)
        return QSize(max(self._content_width() + 2 * self._side(), height), height)

    minimumSizeHint = sizeHint  # noqa: N815

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw tint, icon, words and the line of what is on."""
        ink = self._paint_ground(painter, tone)
        side = icon_side(self)
        x = (self.width() - self._content_width()) / 2
        if self._icon_name:
            paint_icon(painter, self._icon_name, ink, QRectF(x, (self.height() - side) / 2, side, side))
            x += side + style.GRID
        if self._words_shown:
            painter.setPen(QColor(ink))
            words = self.fontMetrics().horizontalAdvance(self.text())
            place = QRect(round(x), 0, words + 2, self.height())
            painter.drawText(place, LEFT, self.text())
            if self.isChecked():
                painter.fillRect(QRectF(x, self.height() - 5, words, 2), QColor(ink))
            x += words + style.GRID
        if self.menu() is not None and self._words_shown:
            paint_icon(painter, "chevron-down", ink, QRectF(x, (self.height() - side) / 2, side, side))

    def _paint_ground(self, painter: QPainter, tone: style.Colours) -> str:
        """Fill and outline by its state, and give the colour of the words."""
        rect = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(Qt.PenStyle.NoPen)
        fill, ink = "", tone.ink
        if self._primary and self.isEnabled():
            fill, ink = tone.accent, tone.on_accent
            if self.underMouse() or self.isDown():
                fill = style.mixed(tone.accent, tone.ink, 0.2)
        elif not self.isEnabled():
            ink = self.palette().color(QPalette.ColorGroup.Disabled, QPalette.ColorRole.ButtonText).name()
            fill = tone.sunken if self._primary else ""
        elif self.isDown() or self.isChecked() or self.underMouse():
            fill = style.mixed(tone.sunken, tone.hairline, 0.6 if self.isDown() else 0.25)
        if fill:
            painter.setBrush(QColor(fill))
            painter.drawRoundedRect(rect, _RADIUS, _RADIUS)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            # On the accent ink would not be seen.
            inset = 2.5 if ink == tone.on_accent else 0.5
            painter.setPen(QColor(ink))
            painter.drawRoundedRect(rect.adjusted(inset, inset, -inset, -inset), _RADIUS, _RADIUS)
        return ink

    def _side(self) -> int:
        return style.MARGIN if self._primary else style.GAP

    def _content_width(self) -> int:
        side = icon_side(self)
        width = side if self._icon_name else 0
        if self._words_shown:
            width += (style.GRID if width else 0) + self.fontMetrics().horizontalAdvance(self.text())
            width += style.GRID + side if self.menu() is not None else 0
        return width


class CheckBox(Painted, QCheckBox):
    """A square in ink and words beside it; the whole line takes the click."""

    smooth = True

    def __init__(self, text: str, parent: QWidget | None = None, tip: str = "") -> None:
        super().__init__(text, parent)
        self.setToolTip(tip)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for box and words."""
        words = self.fontMetrics().horizontalAdvance(self.text())
        return QSize(
            TICK + 2 * style.GAP + words, max(6 * style.GRID, self.fontMetrics().height() + style.GRID)
        )

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Never clip the words' height."""
        return QSize(TICK + 2 * style.GAP, self.sizeHint().height())

    def hitButton(self, place: QPoint) -> bool:  # noqa: N802
        """Take a click on the box or its words."""
        return QRect(QPoint(0, 0), self.sizeHint()).contains(place)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the square, its tick, and the words."""
        group = QPalette.ColorGroup.Active if self.isEnabled() else QPalette.ColorGroup.Disabled
        ink = self.palette().color(group, QPalette.ColorRole.WindowText)
        edge = QColor(style.mixed(tone.paper, ink.name(), 0.65))
        box = QRectF(0.5, (self.height() - TICK) / 2 + 0.5, TICK - 1, TICK - 1)
        hot = self.underMouse() or self.hasFocus()
        painter.setPen(QPen(ink if hot else edge, 2.0 if self.hasFocus() else 1.0))
        painter.setBrush(QColor(tone.raised))
        painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5) if self.hasFocus() else box)
        if self.isChecked():
            paint_tick(painter, box.topLeft(), ink)
        painter.setPen(ink)
        words = self.rect().adjusted(TICK + style.GAP, 0, 0, 0)
        painter.drawText(words, LEFT, self.text())
        if self.hasFocus():
            wide = self.fontMetrics().horizontalAdvance(self.text())
            frame = QRectF(words.left() - 4.5, 0.5, wide + 9.0, self.height() - 1.0)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(ink, 1.0))
            painter.drawRoundedRect(frame, _RADIUS, _RADIUS)
