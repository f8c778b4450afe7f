"""A field for one figure: typed, or stepped with arrows and wheel."""

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

from holdwright.gui.form.field_frame import clear_ground, field_height, paint_ground
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Scale, limits_text
from holdwright.gui.widgets.painting import Painted, paint_mark
from holdwright.parameters.describe import FieldDescription

SETTLE_MS: Final = 600
"""How long the arrows must rest before the hand counts as let go."""

_WIDEST: Final = "0000.000 mm"


class FigureBox(Painted, QAbstractSpinBox):
    """Shows the figure it is told to show; what a hand asks for is only said.

    Signals
    -------
    typed
        A figure was typed and Enter pressed, or the field left.
    moved, settled
        The figure was stepped; the hand has let go.
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
        self._scale = scale
        self._value = 0.0
        self._moving = QTimer(self, singleShot=True, interval=SETTLE_MS)
        self._moving.timeout.connect(self.settled)
        self.setFrame(False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setAccessibleName(field.title)
        clear_ground(self.lineEdit())
        self.editingFinished.connect(self._commit)
        self._write()

    @property
    def value(self) -> float:
        """The figure it was told to show."""
        return self._value

    def show_value(self, value: float) -> None:
        """Show a figure; text that is being typed stays while the figure is the same."""
        if value != self._value or not self.is_typing:
            self._value = value
            self._write()

    def set_scale(self, scale: Scale) -> None:
        """Write the figure otherwise, as in another unit."""
        self._scale = scale
        self._write()

    @property
    def is_typing(self) -> bool:
        """Whether the text is not yet what it was told to show."""
        return self.lineEdit().text() != self._scale.text(self._value)

    def settle(self) -> None:
        """Let go at once."""
        if self._moving.isActive():
            self._moving.stop()
            self.settled.emit()

    # What Qt asks of a box with arrows

    def stepBy(self, steps: int) -> None:  # noqa: N802
        """Ask for the figure some steps on, within the limits."""
        start = self._scale.read(self.lineEdit().text()) if self.is_typing else self._value
        asked = self._scale.stepped(self._value if start is None else start, steps)
        low, high = self._field.minimum, self._field.maximum
        if low is not None and asked <= low:
            asked = self._value if self._field.minimum_open else low
        if high is not None:
            asked = min(asked, high)
        self._write()
        if asked != self._value:
            self._moving.start()
            self.moved.emit(asked)

    def stepEnabled(self) -> QAbstractSpinBox.StepEnabledFlag:  # noqa: N802
        """Tell which arrows lead anywhere."""
        able = QAbstractSpinBox.StepEnabledFlag.StepNone
        low, high = self._field.minimum, self._field.maximum
        if low is None or self._value > low:
            able |= QAbstractSpinBox.StepEnabledFlag.StepDownEnabled
        if high is None or self._value < high:
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
        """Leave undo and redo to the recipe unless a text is being typed."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and not self.is_typing
            and (event.matches(QKeySequence.StandardKey.Undo) or event.matches(QKeySequence.StandardKey.Redo))
        ):
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
        """Say what was typed, where it can be; show what there was until told otherwise."""
        text = self.lineEdit().text()
        if not self.is_typing:
            return
        self.settle()
        entered = self._scale.read(text)
        self._write()
        if entered is None:
            example = self._scale.text(self._value)
            self.refused.emit(f'"{text.strip()}" is not a number; enter for example {example}.')
        elif not self._within(entered):
            limits = limits_text(self._field, self._scale)
            self.refused.emit(
                f"{self._field.title} may be {limits}; {self._scale.text(entered)} was entered."
            )
        elif self._scale.decimals == 0 and entered != round(entered):
            self.refused.emit(f"{self._field.title} is a whole number; {entered:g} was entered.")
        elif entered != self._value:
            self.typed.emit(entered)

    def _within(self, value: float) -> bool:
        field = self._field
        if field.minimum is not None and (
            value < field.minimum or (field.minimum_open and value == field.minimum)
        ):
            return False
        if field.maximum is None:
            return True
        return value < field.maximum or (not field.maximum_open and value == field.maximum)

    def _write(self) -> None:
        edit = self.lineEdit()
        text = self._scale.text(self._value)
        if edit.text() != text:
            edit.setText(text)
            if self.hasFocus():
                edit.selectAll()
