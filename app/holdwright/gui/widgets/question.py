"""A question over the window: a sentence, what follows from each answer, and a verb on each button."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QBoxLayout, QDialog, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.palette import tones

WIDTH: Final = 460
MOST_BESIDE: Final = 3
"""More answers than these stand one below the other."""


class Question(QDialog):
    """Waits for an answer; Escape, or closing it, gives the safe one.

    Parameters
    ----------
    sentence, detail
        What is asked, and what follows from it.
    answers
        Verbs for the buttons; the first has the keyboard.
    safe
        Number of the answer that changes nothing.

    Attributes
    ----------
    answer
        Number of the answer given.
    """

    def __init__(
        self, parent: QWidget, sentence: str, detail: str, answers: Sequence[str], safe: int
    ) -> None:
        super().__init__(parent)
        self.answer = safe
        self._sentence = sentence
        self.setWindowTitle("Holdwright")
        self.setAccessibleName(sentence)
        self.setAccessibleDescription(detail)
        self.buttons = [self._button(number, text) for number, text in enumerate(answers)]
        self._lay_out(detail)
        self.buttons[0].setFocus()

    @property
    def sentence(self) -> str:
        """What is asked."""
        return self._sentence

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Take Enter for the button that has the keyboard."""
        focused = self.focusWidget()
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and isinstance(focused, QuietButton):
            focused.click()
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the paper, edged for desktops that draw no frame."""
        del event
        tone = tones(self)
        painter = QPainter(self)
        painter.setPen(QColor(tone.hairline))
        painter.setBrush(QColor(tone.paper))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def _button(self, number: int, text: str) -> QuietButton:
        button = QuietButton(text, self, primary=number == 0)
        button.clicked.connect(lambda: self._give(number))
        return button

    def _give(self, number: int) -> None:
        self.answer = number
        self.accept()

    def _lay_out(self, detail: str) -> None:
        asked = QLabel(self._sentence, self)
        font = QFont(asked.font())
        font.setWeight(QFont.Weight.DemiBold)
        asked.setFont(font)
        column = QVBoxLayout(self)
        column.setContentsMargins(*(2 * style.MARGIN,) * 4)
        column.setSpacing(style.GAP)
        for label in (asked, QLabel(detail, self)):
            label.setWordWrap(True)
            label.setFixedWidth(WIDTH)
            label.setVisible(bool(label.text()))
            column.addWidget(label)
        column.addSpacing(style.GAP)
        beside = len(self.buttons) <= MOST_BESIDE
        row: QBoxLayout = QHBoxLayout() if beside else QVBoxLayout()
        row.setSpacing(style.GAP if beside else style.GRID)
        for button in self.buttons:
            row.addWidget(button)
        if beside:
            row.addStretch(1)
        column.addLayout(row)
