"""Says that work was stopped or failed and what is shown all the same, with a way on."""

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, row
from holdwright.gui.widgets.painting import OverParent, Painted, paint_frame


class StoppedBanner(OverParent, Painted, QWidget):
    """A strip that is there only while the document is stopped or fails; in a layout, or over its parent.

    Parameters
    ----------
    over
        Whether it lies over the upper edge of its parent, which is then required, and offers to go on.
    tells_failure
        Asked whether it is to come for a failure too, or for a stop alone.

    Signals
    -------
    step_requested
        The step that failed is to be shown: its id.
    """

    step_requested = Signal(str)

    def __init__(
        self,
        document: Document,
        parent: QWidget | None = None,
        *,
        over: bool = False,
        tells_failure: Callable[[], bool] = lambda: True,
    ) -> None:
        super().__init__(parent)
        self._document, self._over, self._tells_failure = document, over, tells_failure
        self._words = TextLabel("", self, wrap=not over)
        tip = "Do the steps that are not up to date"
        self.go_on = QuietButton("Go on", self, tip=tip, clicked=document.replay)
        self.to_step = QuietButton("Show the step", self, clicked=self._ask_step)
        margins = (style.MARGIN, style.GRID, style.GRID, style.GRID)
        row((self._words, 1), self.go_on, self.to_step, on=self, margins=margins, gap=style.GRID)
        self.setAccessibleName("Stopped")
        self.hide()
        if parent is not None and over:
            self.lie_over(parent)
        for signal in (
            document.stopped_changed,
            document.busy_changed,
            document.selected_changed,
            document.recipe_changed,
            document.step_shown,
        ):
            signal.connect(self.refresh)

    @property
    def words(self) -> str:
        """What it says; blank while it is hidden."""
        return self._words.text() if self.isVisible() else ""

    def refresh(self) -> None:
        """Come or go, as the document is."""
        stopped = self._document.stopped
        sentence = self._document.standing_sentence if stopped or self._tells_failure() else ""
        self.go_on.setVisible(stopped and self._over)
        self.to_step.setVisible(not stopped)
        self._words.setText(sentence)
        self.setAccessibleDescription(sentence)
        if sentence and self._over:
            self.come()
        else:
            self.setVisible(bool(sentence))

    def place_in(self, parent: QWidget) -> None:
        """Lie in the middle of the upper edge."""
        size = self.sizeHint()
        self.setGeometry((parent.width() - size.width()) // 2, style.GAP, size.width(), size.height())

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the tinted strip with a hairline round it."""
        painter.setPen(QColor(tone.hairline))
        painter.setBrush(QColor(tone.warning if self._document.stopped else tone.error))
        paint_frame(painter, self)

    def _ask_step(self) -> None:
        self.step_requested.emit(self._document.failed_step)
