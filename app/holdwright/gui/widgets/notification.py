"""A sentence at the edge of the viewport: what could not be done, or what was done."""

from typing import Final

from PySide6.QtCore import QTimer
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, row
from holdwright.gui.widgets.number_format import breakable
from holdwright.gui.widgets.painting import OverParent, Painted, paint_frame

SHOWN_MS: Final = 4000
WIDEST: Final = 720


class Notification(OverParent, Painted, QWidget):
    """Lies over its parent's upper or lower edge. A failure stays until it is put away; news goes by itself.

    Parameters
    ----------
    inset
        How far off the edge, pixels.
    above
        Whether that is the upper edge.

    Attributes
    ----------
    again, away
        Buttons: for another try, shown with failures alone; to put it away.
    """

    def __init__(self, parent: QWidget, inset: int = style.MARGIN, *, above: bool = False) -> None:
        super().__init__(parent)
        self._inset = inset
        self._above = above
        self._passing = False
        self._sentence = ""
        self._failed = False
        self._words = TextLabel("", self, wrap=True, selectable=True)
        self.again = QuietButton("Try again", self, clicked=self.hide)
        self.away = QuietButton("Dismiss", self, clicked=self.hide)
        self._timer = QTimer(self, singleShot=True, interval=SHOWN_MS)
        self._timer.timeout.connect(self.hide)
        margins = (style.MARGIN, style.GAP, style.GAP, style.GAP)
        row((self._words, 1), self.again, self.away, on=self, margins=margins, gap=style.GAP)
        self.setAccessibleName("Message")
        self.lie_over(parent)

    @property
    def words(self) -> str:
        """The sentence shown."""
        return self._sentence if self.isVisible() else ""

    def fail(self, sentence: str, *, again: bool = False, passing: bool = False) -> None:
        """Show that something could not be done, until it is put away.

        Parameters
        ----------
        again
            Whether to offer another try.
        passing
            Whether it is about a replay, and goes with the next: see `withdraw`.
        """
        self._timer.stop()
        self._passing = passing
        self.show_words(sentence, failed=True, again=again)

    def say(self, sentence: str) -> None:
        """Show that something was done, for a while."""
        self._passing = False
        self.show_words(sentence)
        self._timer.start()

    def withdraw(self) -> None:
        """Put away the failure of a replay: another goes on."""
        if self._passing:
            self.hide()

    def show_words(self, sentence: str, *, failed: bool = False, again: bool = False) -> None:
        """Show a sentence until it is put away."""
        self._sentence = sentence
        self._words.setText(breakable(sentence))
        self._words.setAccessibleName(sentence)
        self._failed = failed
        self.again.setVisible(again)
        self.come()

    def place_in(self, parent: QWidget) -> None:
        """Lie along the edge, as high as the words need."""
        width = min(parent.width() - 2 * style.MARGIN, WIDEST)
        taken = [
            button.sizeHint().width() + style.GAP
            for button in (self.again, self.away)
            if not button.isHidden()
        ]
        words = width - style.MARGIN - style.GAP - sum(taken)
        text = self._words.heightForWidth(words)
        height = max(text, self.away.sizeHint().height()) + 2 * style.GAP
        top = self._inset if self._above else parent.height() - height - self._inset
        self.setGeometry((parent.width() - width) // 2, top, width, height)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the tinted strip with a hairline round it."""
        painter.setPen(QColor(tone.hairline))
        painter.setBrush(QColor(tone.error if self._failed else tone.note))
        paint_frame(painter, self)
