"""What every field is drawn on: a lighter strip of paper with a line beneath, instead of a box."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QKeySequence, QPainter, QPaintEvent, QPalette, QWheelEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import tones

if TYPE_CHECKING:
    _Base = QWidget
else:
    _Base = object


def field_height(widget: QWidget) -> int:
    """Give the height of a field, on the grid, for the widget's type."""
    least = widget.fontMetrics().height() + 2 * style.GRID
    return max(7 * style.GRID, -(-least // style.GRID) * style.GRID)


def paint_ground(painter: QPainter, widget: QWidget, *, focused: bool) -> None:
    """Draw the strip and its line, in ink and thicker where the keyboard is."""
    tone = tones(widget)
    rect = widget.rect()
    locked = isinstance(widget, QLineEdit) and widget.isReadOnly()
    painter.fillRect(rect, QColor(tone.paper if locked else tone.raised))
    line = tone.ink if focused else tone.hairline if locked else tone.edge
    thick = 2 if focused else 1
    painter.fillRect(QRect(0, rect.height() - thick, rect.width(), thick), QColor(line))


def clear_ground(line: QLineEdit) -> None:
    """Let what a line is drawn on shine through."""
    palette = line.palette()
    palette.setColor(QPalette.ColorRole.Base, Qt.GlobalColor.transparent)
    line.setPalette(palette)


def is_for_window(event: QEvent) -> bool:
    """Tell whether Qt offers a text Ctrl+E, which some desktops take for the end of its line."""
    return (
        event.type() == QEvent.Type.ShortcutOverride
        and isinstance(event, QKeyEvent)
        and event.key() == Qt.Key.Key_E
        and event.matches(QKeySequence.StandardKey.MoveToEndOfLine)
    )


class Field(_Base):
    """Mixin for a field: as high as all fields; the wheel passes it, so that scrolling changes nothing."""

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the height of a field."""
        return QSize(super().sizeHint().width(), field_height(self))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Give the height of a field."""
        return QSize(super().minimumSizeHint().width(), field_height(self))

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Leave the wheel to the page."""
        event.ignore()


class PlainLine(Field, QLineEdit):
    """A line to type on, drawn as a field."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrame(False)
        clear_ground(self)
        self.setTextMargins(style.GRID, 0, style.GRID, 0)

    def event(self, event: QEvent) -> bool:
        """Leave the window its keys."""
        if is_for_window(event):
            event.ignore()
            return False
        return super().event(event)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Write fainter what cannot be changed now."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.ReadOnlyChange, QEvent.Type.PaletteChange):
            tone, palette, text = tones(self), self.palette(), QPalette.ColorRole.Text
            ink = QColor(tone.faint if self.isReadOnly() else tone.ink)
            if palette.color(QPalette.ColorGroup.Active, text) != ink:
                for group in (QPalette.ColorGroup.Active, QPalette.ColorGroup.Inactive):
                    palette.setColor(group, text, ink)
                self.setPalette(palette)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the strip beneath the text."""
        painter = QPainter(self)
        paint_ground(painter, self, focused=self.hasFocus())
        painter.end()
        super().paintEvent(event)
