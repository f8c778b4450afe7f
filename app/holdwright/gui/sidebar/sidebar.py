"""The left side of the window."""

from typing import Final

from PySide6.QtCore import QEvent, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.document.check_work import CheckWork
from holdwright.gui.document.document import Document
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.document.strength_work import StrengthWork
from holdwright.gui.sidebar.findings_panel import FindingsList
from holdwright.gui.sidebar.print_group import PrintGroup
from holdwright.gui.sidebar.route_card import RouteCard
from holdwright.gui.widgets import style
from holdwright.gui.widgets.keyboard_order import link, reading_order
from holdwright.gui.widgets.layout import ScrollArea, column
from holdwright.gui.widgets.number_format import Preferred

LETTERS: Final = 48
"""Width of the sidebar in letters of usual width."""


class Sidebar(QWidget):
    """Route card and print above, findings beneath; each scrolls by itself where it is long.

    Signals
    -------
    finding_chosen
        A finding was clicked: its step's id, and it. The step is chosen already.
    """

    finding_chosen = Signal(str, object)

    def __init__(
        self,
        document: Document,
        catalogue: Catalogue,
        work: PrintWork,
        checks: CheckWork,
        strength: StrengthWork,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self.card = RouteCard(document, catalogue)
        self.card.opened_at.connect(self._scroll_to)
        self.findings = FindingsList(document, self)
        self.findings.chosen.connect(self._choose)
        self.card.findings_requested.connect(self._show_findings)
        self.to_print = PrintGroup(document, work, checks, strength, self)
        self._scroll = ScrollArea(self.card, self)
        self._scroll.verticalScrollBar().valueChanged.connect(self.card.stick_below)
        column((self._scroll, 1), self.to_print, self.findings, on=self, margins=(0, style.GRID, 0, 0))
        self.setMinimumWidth(self._usual_width())

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        for shows in (self.card, self.to_print, self.findings):
            shows.set_unit(unit)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the usual width."""
        return QSize(self._usual_width(), super().sizeHint().height())

    def focusNextPrevChild(self, onward: bool) -> bool:  # noqa: N802
        """Let the keyboard go from above to below, also over lines that came later than what is beneath."""
        path = [*self.card.keyboard_path(), *reading_order(self.to_print), *self.findings.keyboard_path()]
        link(path)
        if onward and self.hasFocus():
            path[0].setFocus(Qt.FocusReason.TabFocusReason)
            return True
        return super().focusNextPrevChild(onward)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Pass the keyboard on to the step worked on."""
        entry = self.card.entries.get(self._document.selected)
        if entry is not None:
            entry.line.setFocus(event.reason())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Let the findings have their share of another height."""
        super().resizeEvent(event)
        self.findings.updateGeometry()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Take another face."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.setMinimumWidth(self._usual_width())

    def _usual_width(self) -> int:
        """Give the width in which no words are clipped: it grows with the letters."""
        return max(style.SIDEBAR_WIDTH, LETTERS * self.fontMetrics().averageCharWidth())

    def _choose(self, step_id: str, finding: object) -> None:
        self._document.edits.select(step_id)
        self.finding_chosen.emit(step_id, finding)

    def _show_findings(self, step_id: str) -> None:
        self._document.edits.select(step_id)
        self.findings.show_first()

    def _scroll_to(self, entry: QWidget) -> None:
        def scroll() -> None:
            self._scroll.ensureWidgetVisible(entry, 0, style.GAP)
            bar = self._scroll.verticalScrollBar()
            bar.setValue(min(bar.value(), entry.y()))
            self.card.stick_below(bar.value())

        # The form has its size only once the layout has been done.
        QTimer.singleShot(0, entry, scroll)
