"""A field for one figure: typed, or stepped with arrows and wheel."""

from math import inf
from typing import Final

from PySide6.QtCore import QEvent, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QValidator,
    QWheelEvent,
)
from PySide6.QtWidgets import QAbstractSpinBox, QStyle, QStyleOptionSpinBox, QWidget

from holdwright.gui.form.field_frame import clear_ground, field_height, is_for_window, paint_ground
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Scale, limits_text
from holdwright.gui.widgets.painting import Painted, paint_mark
from holdwright.parameters.describe import FieldDescription

SETTLE_MS: Final = 600
"""How long the arrows must rest before they count as let go."""

_WIDEST: Final = "0000.000 mm"


class FigureBox(Painted, QAbstractSpinBox):
    """Shows the figure it is given; what a user enters is only reported.

    Attributes
    ----------
    value
        The figure it was given to show.

    Signals
    -------
    typed
        A figure was typed and Enter pressed, or the field left.
    moved, settled
        The figure was stepped; the arrow or key was let go.
    refused
        Why what was typed cannot be, in words.
    """

    typed = Signal(float)
    moved = Signal(float)
    settled = Signal()
    refused = Signal(str)

    def __init__(self, field: FieldDescription, scale: Scale, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._field = field
        self._low = -inf if field.minimum is None else field.minimum
        self._high = inf if field.maximum is None else field.maximum
        self._scale = scale
        self._worded = scale.word_at if scale.zero else None
        if self._worded is not None:
            self._low = min(self._low, self._worded)
        self.value = 0.0
        self._moving = QTimer(self, singleShot=True, interval=SETTLE_MS)
        self._moving.timeout.connect(self.settled)
        self.setFrame(False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setAccessibleName(field.title)
        clear_ground(self.lineEdit())
        self.editingFinished.connect(self._commit)
        self._write()

    def show_value(self, value: float) -> None:
        """Show a figure; text that is being typed stays while the figure is the same."""
        if value != self.value or not self.is_typing:
            self.value = value
            self._write()

    def set_scale(self, scale: Scale) -> None:
        """Write the figure otherwise, as in another unit."""
        self._scale = scale
        self._write()

    @property
    def is_typing(self) -> bool:
        """Whether the text is not yet that of the figure."""
        return self.lineEdit().text() != self._scale.text(self.value)

    def settle(self) -> None:
        """Let go at once."""
        if self._moving.isActive():
            self._moving.stop()
            self.settled.emit()

    # What Qt requires of a box with arrows

    def stepBy(self, steps: int) -> None:  # noqa: N802
        """Ask for the figure some steps on, within the limits."""
        start = self._scale.read(self.lineEdit().text()) if self.is_typing else self.value
        stepped = self._scale.stepped(self.value if start is None else start, steps)
        if stepped <= self._low:
            stepped = self.value if self._field.minimum_open else self._low
        stepped = min(stepped, self._high)
        self._write()
        if stepped != self.value:
            self._moving.start()
            self.moved.emit(stepped)

    def stepEnabled(self) -> QAbstractSpinBox.StepEnabledFlag:  # noqa: N802
        """Tell which arrows lead anywhere."""
        able = QAbstractSpinBox.StepEnabledFlag.StepNone
        if self.value > self._low:
            able |= QAbstractSpinBox.StepEnabledFlag.StepDownEnabled
        if self.value < self._high:
            able |= QAbstractSpinBox.StepEnabledFlag.StepUpEnabled
        return able

    def validate(self, text: str, place: int) -> tuple[QValidator.State, str, int]:
        """Let anything be typed; it is judged as a whole, in words."""
        return QValidator.State.Acceptable, text, place

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for a long figure and the arrows."""
        return QSize(self.fontMetrics().horizontalAdvance(_WIDEST) + 6 * style.GRID, field_height(self))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Give room for a usual figure and the arrows."""
        return QSize(self.fontMetrics().horizontalAdvance("000.0 mm") + 6 * style.GRID, field_height(self))

    def event(self, event: QEvent) -> bool:
        """Leave the window its keys, and undo and redo to the recipe unless a text is being typed."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            keys = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)
            undoes = not self.is_typing and any(event.matches(key) for key in keys)
            if undoes or is_for_window(event):
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Give typed text up on Escape."""
        if event.key() == Qt.Key.Key_Escape and self.is_typing:
            self._write()
            self.lineEdit().selectAll()
            event.accept()
            return
        super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Step only where the keyboard is, so that scrolling past changes nothing."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Let go when the field is left."""
        super().focusOutEvent(event)
        self.settle()
        self.update()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Leave the menu to the field around."""
        event.ignore()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the strip, and the arrows while they are of use."""
        paint_ground(painter, self, focused=self.hasFocus())
        if self.isEnabled() and (self.underMouse() or self.hasFocus()):
            option = QStyleOptionSpinBox()
            self.initStyleOption(option)
            for part, name in (
                (QStyle.SubControl.SC_SpinBoxUp, "chevron-up"),
                (QStyle.SubControl.SC_SpinBoxDown, "chevron-down"),
            ):
                rect = self.style().subControlRect(QStyle.ComplexControl.CC_SpinBox, option, part, self)
                paint_mark(painter, name, tone.faint, rect, 12)

    def _commit(self) -> None:
        """Report what was typed, where it can be; show the figure as it was until given another."""
        text = self.lineEdit().text()
        if not self.is_typing:
            return
        self.settle()
        entered = self._scale.read(text)
        self._write()
        if entered is None:
            example = self._scale.text(self.value)
            self.refused.emit(f'"{text.strip()}" is not a number; enter for example {example}.')
        elif not self._within(entered):
            limits = limits_text(self._field, self._scale)
            written = self._scale.text(entered)
            self.refused.emit(f"{self._field.title} may be {limits}; {written} was entered.")
        elif self._scale.decimals == 0 and entered != round(entered):
            self.refused.emit(f"{self._field.title} is a whole number; {entered:g} was entered.")
        elif entered != self.value:
            self.typed.emit(entered)

    def _within(self, value: float) -> bool:
        low = -inf if self._field.minimum is None else self._field.minimum
        at_low = value == low and not self._field.minimum_open
        at_high = value == self._high and not self._field.maximum_open
        return at_low or at_high or value == self._worded or low < value < self._high

    def _write(self) -> None:
        if self.is_typing:
            self.lineEdit().setText(self._scale.text(self.value))
            if self.hasFocus():
                self.lineEdit().selectAll()
