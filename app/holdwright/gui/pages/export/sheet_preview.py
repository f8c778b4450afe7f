"""The work sheet as it will be written, laid over the window."""

from typing import Final

from PySide6.QtCore import QRect
from PySide6.QtGui import QColor, QPainter, QPixmap
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.export.job import ExportRequest
from holdwright.export.sheet_view import SheetView, SheetViewRequest, view_sheet
from holdwright.gui.document.document import Document
from holdwright.gui.pages.cover_page import CoverPage
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import ScrollArea, TextLabel, clear, column, row
from holdwright.gui.widgets.painting import Painted
from holdwright.gui.widgets.progress_line import ProgressLine

DOTS: Final = 120.0
"""To an inch, at one device pixel to a point."""
WIDEST: Final = 1040
"""Width up to which a page is drawn, in device-independent pixels."""


class SheetPage(Painted, QWidget):
    """A page, as wide as there is room."""

    def __init__(self, picture: QPixmap, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.picture = picture
        self.setAccessibleName(name)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setMaximumWidth(WIDEST)

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """Keep the paper's proportions."""
        return round(width * self.picture.height() / max(self.picture.width(), 1))

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the page with a hairline round it."""
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        room = QRect(0, 0, self.width(), min(self.height(), self.heightForWidth(self.width())))
        painter.drawPixmap(room, self.picture)
        painter.setPen(QColor(tone.hairline))
        painter.drawRect(room.adjusted(0, 0, -1, -1))


class SheetPreview(CoverPage):
    """Covers its parent; Escape or "Back" puts it away.

    Attributes
    ----------
    pages
        Shown below each other.
    sentence
        How far the drawing is, or why there is nothing to see.
    """

    def __init__(self, document: Document, parent: QWidget) -> None:
        super().__init__(parent, "Work sheet", "the export")
        self._document, self._number = document, 0
        self.pages: tuple[SheetPage, ...] = ()
        self._line = ProgressLine(self)
        self.sentence = TextLabel("", self, wrap=True)
        content = QWidget()
        self._column = column(on=content, margins=(style.MARGIN,) * 4, gap=style.MARGIN)
        margins = (style.MARGIN, style.GAP, style.GAP, style.GAP)
        head = row(TextLabel("Work sheet", self, title=True), None, self._back, margins=margins)
        told = row((self.sentence, 1), margins=(style.MARGIN, style.GAP, style.MARGIN, 0))
        column(head, self._line, told, (ScrollArea(content, self), 1), on=self)
        document.supervisor.reported.connect(self._report)
        document.supervisor.ended.connect(self._end)
        self.lie_over(parent)

    def open(self, request: ExportRequest) -> None:
        """Lay it over the window and have the sheet drawn."""
        self._show_pages(())
        self.come()
        self._back.setFocus()
        wanted = SheetViewRequest(request, DOTS * self.devicePixelRatioF())
        self._number = self._document.supervisor.send(view_sheet, wanted, self._document.recipe)
        self._line.set_working(bool(self._number))
        self.sentence.show_words("Drawing the sheet" if self._number else "Open a sculpt first.")

    def put_away(self) -> None:
        """Take it off the window; what is still drawn is given up."""
        if self._number:
            self._document.supervisor.stop(self._number)
        super().put_away()

    def _report(self, number: int, fraction: float, text: str) -> None:
        if number == self._number:
            self._line.set_fraction(fraction)
            self.sentence.show_words(text[:1].upper() + text[1:])

    def _end(self, number: int, what: object, failed: str, stopped: bool) -> None:
        if number != self._number or not number:
            return
        self._number = 0
        self._line.set_working(False)
        self.sentence.show_words(failed or ("Stopped." if stopped else ""))
        if isinstance(what, SheetView):
            self._show_pages(what.pages)

    def _show_pages(self, pictures: tuple[bytes, ...]) -> None:
        clear(self._column)
        pages = []
        for number, picture in enumerate(pictures, start=1):
            drawn = QPixmap()
            drawn.loadFromData(picture)
            pages.append(SheetPage(drawn, f"Page {number} of {len(pictures)}", self))
            self._column.addLayout(row(None, (pages[-1], 100), None))
        self._column.addStretch(1)
        self.pages = tuple(pages)
