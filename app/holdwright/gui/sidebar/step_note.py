"""The maker's own words on a step: read in italics, written in place."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QStackedLayout, QWidget

from holdwright.gui.form.field_frame import PlainLine
from holdwright.gui.widgets.layout import TextLabel
from holdwright.gui.widgets.number_format import breakable


class NoteWords(TextLabel):
    """The note as it is read; a click writes on."""

    clicked = Signal()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Write on."""
        del event
        self.clicked.emit()


class NoteLine(PlainLine):
    """The note as it is written: Enter or leaving keeps it, Escape does not."""

    done = Signal()
    given_up = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Keep on Enter, give up on Escape."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.done.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.given_up.emit()
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Keep when left."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.done.emit()


class StepNote(QWidget):
    """Shows a note, hidden where there is none, and lets it be written.

    Attributes
    ----------
    is_writing
        Whether the note is being written.

    Signals
    -------
    written
        The note as it is to be.
    left
        Writing is over and the keyboard free.
    """

    written = Signal(str)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._note = ""
        self.is_writing = False
        self.words = NoteWords("", self, wrap=True, faint=True)
        self.words.setCursor(Qt.CursorShape.IBeamCursor)
        self.words.setToolTip("Click to edit the note")
        font = self.words.font()
        font.setItalic(True)
        self.words.setFont(font)
        self._line = NoteLine(self)
        self._line.setFont(font)
        self._line.setPlaceholderText("A note for this step")
        self._line.setAccessibleName("Note on this step")
        self._stack = QStackedLayout(self)
        self._stack.setContentsMargins(0, 0, 0, 0)
        self._stack.addWidget(self.words)
        self._stack.addWidget(self._line)
        self.words.clicked.connect(self.write)
        self._line.done.connect(self._keep)
        self._line.given_up.connect(self._give_up)
        self.hide()

    def show_note(self, note: str) -> None:
        """Show a note; what is being written stays."""
        self._note = note
        self.words.setText(breakable(note))
        self.words.setAccessibleName(note)
        if not self.is_writing:
            self.setVisible(bool(note))

    def write(self) -> None:
        """Begin to write."""
        self.is_writing = True
        self._line.setText(self._note)
        self._stack.setCurrentWidget(self._line)
        self.show()
        self._line.setFocus()

    def _keep(self) -> None:
        if not self.is_writing:
            return
        text = self._line.text().strip()
        had_keyboard = self._line.hasFocus()
        changed = text != self._note
        self._close()
        if changed:
            self.written.emit(text)
        if had_keyboard:
            self.left.emit()

    def _give_up(self) -> None:
        self._close()
        self.left.emit()

    def _close(self) -> None:
        # First of all: the line loses the keyboard as it is hidden, and must not take that for leaving.
        self.is_writing = False
        self._stack.setCurrentWidget(self.words)
        self.setVisible(bool(self._note))
