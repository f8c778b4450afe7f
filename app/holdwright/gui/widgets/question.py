"""A question over the window: a sentence, what follows from each answer, and a verb on each button."""

from collections.abc import Sequence
from functools import partial
from typing import Final

from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QBoxLayout, QDialog, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.painting import Painted, paint_frame

WIDTH: Final = 460
MOST_BESIDE: Final = 3
"""More answers than these stand one below the other."""


class Question(Painted, QDialog):
    """Waits for an answer; Escape, or closing it, gives the safe one.

    Parameters
    ----------
    sentence, detail, answers
        See `questions.ask`.
    safe
        Number of the answer that changes nothing.

    Attributes
    ----------
    sentence, answer
        The question, and the number of the answer chosen.
    """

    def __init__(
        self, parent: QWidget, sentence: str, detail: str, answers: Sequence[str], safe: int
    ) -> None:
        super().__init__(parent)
        self.answer = safe
        self.sentence = sentence
        self.setWindowTitle("Holdwright")
        self.setAccessibleName(sentence)
        self.setAccessibleDescription(detail)
        self.buttons = [
            QuietButton(text, self, primary=number == 0, clicked=partial(self._choose, number))
            for number, text in enumerate(answers)
        ]
        self._lay_out(detail)
        self.buttons[0].setFocus()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the paper, edged for desktops that draw no frame."""
        painter.setPen(QColor(tone.hairline))
        painter.setBrush(QColor(tone.paper))
        paint_frame(painter, self)

    def _choose(self, number: int) -> None:
        self.answer = number
        self.accept()

    def _lay_out(self, detail: str) -> None:
        labels = TextLabel(self.sentence, self, wrap=True, bold=True), TextLabel(detail, self, wrap=True)
        for label in labels:
            label.setFixedWidth(WIDTH)
            label.setVisible(bool(label.text()))
        buttons: QBoxLayout
        if len(self.buttons) <= MOST_BESIDE:
            buttons = row(*self.buttons, None, gap=style.GAP)
        else:
            buttons = column(*self.buttons, gap=style.GRID)
        column(*labels, style.GAP, buttons, on=self, margins=(2 * style.MARGIN,) * 4, gap=style.GAP)
