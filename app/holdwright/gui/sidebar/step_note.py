"""The maker's own words on a step: read in italics, written in place."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QStackedLayout, QWidget

from holdwright.gui.form.field_frame import PlainLine
from holdwright.gui.widgets.layout import TextLabel
from holdwright.gui.widgets.number_format import breakable


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
        self.words = TextLabel("", self, wrap=True, faint=True)
        self.words.setCursor(Qt.CursorShape.IBeamCursor)
        self.words.setToolTip("Click to edit the note")
        font = self.words.font()
        font.setItalic(True)
        self.words.setFont(font)
        self._line = PlainLine(self)
        self._line.setFont(font)
        self._line.setPlaceholderText("A note for this step")
        self._line.setAccessibleName("Note on this step")
        self._stack = QStackedLayout(self)
        self._stack.setContentsMargins(0, 0, 0, 0)
        self._stack.addWidget(self.words)
        self._stack.addWidget(self._line)
        self.words.installEventFilter(self)
        self._line.installEventFilter(self)
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

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Write on a click; keep the note on Enter or when it is left, give it up on Escape."""
        if watched is self.words and event.type() == QEvent.Type.MouseButtonPress:
            self.write()
            return True
        if watched is self._line and isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._store()
                return True
            if event.key() == Qt.Key.Key_Escape:
                self._close()
                self.left.emit()
                return True
        if watched is self._line and isinstance(event, QFocusEvent) and event.lostFocus():
            self._leave(event.reason())
        return super().eventFilter(watched, event)

    def _leave(self, reason: Qt.FocusReason) -> None:
        # Not for the line's own menu.
        if reason != Qt.FocusReason.PopupFocusReason:
            self._store()

    def _store(self) -> None:
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

    def _close(self) -> None:
        # First of all: the line loses the keyboard as it is hidden, and must not take that for leaving.
        self.is_writing = False
        self._stack.setCurrentWidget(self.words)
        self.setVisible(bool(self._note))
