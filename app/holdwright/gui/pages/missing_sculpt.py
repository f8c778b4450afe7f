"""Lies over the view of a recipe without a sculpt, or with one that is gone: it says what to do."""

from typing import Final

from PySide6.QtCore import QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.number_format import breakable
from holdwright.gui.widgets.painting import OverParent, Painted, Paper, paint_frame
from holdwright.printable import printable

WIDTH: Final = 420


class DropArea(Paper):
    """Shows whether files hang over the window.

    Attributes
    ----------
    inset
        From the widget's edge to the dashed line, pixels.
    """

    inset = 1
    _hovered = False

    def set_hovered(self, hovered: bool) -> None:
        """Show that the files can be dropped here."""
        self._hovered = hovered
        self.update()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw paper and line."""
        super().paint(painter, tone)
        paint_drop_line(painter, self, tone.accent if self._hovered else tone.hairline, self.inset)


class DropFrame(OverParent, Painted, QWidget):
    """Lies over the view of an open document while files hang over the window."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.lie_over(parent)

    def set_hovered(self, hovered: bool) -> None:
        """Come or go."""
        if hovered:
            self.come()
        self.setVisible(hovered)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the line round the view, and what a drop does."""
        paint_drop_line(painter, self, tone.accent, style.GAP)
        words = "Drop a sculpt to replay this recipe on it, or a recipe to open it"
        size = self.fontMetrics().boundingRect(words).size() + QSize(2 * style.MARGIN, 2 * style.GAP)
        place = QRect(QPoint(0, 0), size)
        place.moveCenter(self.rect().center())
        painter.fillRect(place, QColor(tone.raised))
        painter.setPen(QColor(tone.ink))
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, words)


def paint_drop_line(painter: QPainter, widget: QWidget, colour: str, inset: int) -> None:
    """Draw the dashed line of a place to drop on, so many pixels within a widget."""
    pen = QPen(QColor(colour), 2.0)
    pen.setDashPattern([4.0, 4.0])
    painter.setPen(pen)
    paint_frame(painter, widget, inset)


class MissingSculpt(OverParent, DropArea):
    """Shown while there is nothing to see and nothing on its way.

    Signals
    -------
    find_requested
        A sculpt is to be chosen from a folder.
    """

    find_requested = Signal()

    def __init__(self, document: Document, parent: QWidget) -> None:
        super().__init__(parent)
        self._document = document
        self._title = TextLabel("", self, wrap=True, title=True)
        self._detail = TextLabel("", self, wrap=True)
        tip = "Choose a sculpt from a folder and replay the recipe on it"
        self.find_button = QuietButton("", self, primary=True, tip=tip, clicked=self.find_requested)
        self.find_button.setMinimumHeight(style.ROW)
        self.setAccessibleName("No sculpt")
        margins = (2 * style.MARGIN,) * 4
        button = row(self.find_button, None)
        column(self._title, self._detail, button, on=self, margins=margins, gap=style.MARGIN)
        self.lie_over(parent)
        for signal in (
            document.opened,
            document.recipe_changed,
            document.sculpt_shown,
            document.busy_changed,
        ):
            signal.connect(self.refresh)
        self.refresh()

    @property
    def words(self) -> str:
        """What it says; blank while it is hidden."""
        return self._title.accessibleName() if self.isVisible() else ""

    def refresh(self) -> None:
        """Come or go, as the document is."""
        document, path = self._document, self._document.sculpt_path
        if document.session is None or document.sculpt is not None or document.busy:
            self.hide()
        elif path is None:
            self._say("Drop a sculpt here", "This recipe has no sculpt yet.", "Choose a sculpt...")
        elif not path.is_file():
            folder = printable(path.parent)
            detail = f"The recipe uses it, but {folder} does not have it now. Drop it here, or find it."
            self._say(f"{printable(path.name)} is not there", detail, "Find it...")
        else:
            self.hide()

    def _say(self, title: str, detail: str, verb: str) -> None:
        for label, text in ((self._title, title), (self._detail, detail)):
            label.setText(breakable(text))
            label.setAccessibleName(text)
        self.find_button.set_words(verb)
        self.come()

    def place_in(self, parent: QWidget) -> None:
        """Lie in the middle, as high as the words need."""
        width = min(WIDTH, parent.width() - 2 * style.MARGIN)
        height = self.heightForWidth(width)
        self.setGeometry((parent.width() - width) // 2, (parent.height() - height) // 2, width, height)
