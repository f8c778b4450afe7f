"""Three hints over the view of the sample, for whoever sees it for the first time."""

from typing import Final

from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.pages.preferences import Preferences
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.painting import OverParent, Painted, paint_frame
from holdwright.resources import sample_folder

HINTS: Final = (
    "Open a step, then drag its handle on the hold.",
    "Ctrl+Z undoes any change.",
    "Export writes the files for the printer.",
)


class FirstHints(OverParent, Painted, QWidget):
    """Lies in the view's lower right corner while a sample is open, until it is dismissed for good.

    Attributes
    ----------
    dismiss
        The button that does so.
    """

    def __init__(self, document: Document, preferences: Preferences, parent: QWidget) -> None:
        super().__init__(parent)
        self._document, self._preferences = document, preferences
        self.dismiss = QuietButton("Got it", self, tip="Do not show these hints again", clicked=self._dismiss)
        labels = [TextLabel(hint, self) for hint in HINTS]
        margins = (style.MARGIN, style.GAP, style.GAP, style.GAP)
        column(*labels, row(None, self.dismiss), on=self, margins=margins, gap=style.GRID)
        self.setAccessibleName("Hints")
        self.setAccessibleDescription(" ".join(HINTS))
        self.lie_over(parent)
        document.opened.connect(self.refresh)

    def refresh(self) -> None:
        """Come with a sample, go with any other document."""
        path = self._document.sculpt_path
        if path is not None and path.parent == sample_folder() and self._preferences.first_hints:
            self.come()
        else:
            self.hide()

    def place_in(self, parent: QWidget) -> None:
        """Lie in the lower right corner."""
        size = self.sizeHint()
        x, y = parent.width() - size.width() - style.MARGIN, parent.height() - size.height() - style.MARGIN
        self.setGeometry(x, y, size.width(), size.height())

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the paper with a hairline round it."""
        painter.setPen(QColor(tone.hairline))
        painter.setBrush(QColor(tone.raised))
        paint_frame(painter, self)

    def _dismiss(self) -> None:
        self._preferences.first_hints = False
        self.hide()
