"""What the pages of the print share: what is computed, why it is not, and the way to the next page."""

from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.hold_work import COMPUTING, HoldWork
from holdwright.gui.document.print_texts import total_text
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.pages.page import Page
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.number_format import Preferred, in_unit
from holdwright.gui.widgets.progress_line import ProgressLine


class PrintPage(Page):
    """Shows what was computed last, fainter while it is computed anew.

    Parameters
    ----------
    following
        Name and title of the page to go to next.

    Attributes
    ----------
    sentence
        Why there is nothing to show, or what is going on.
    line
        How far that is.

    Signals
    -------
    page_requested
        The name of the next page.
    """

    page_requested = Signal(str)

    def __init__(
        self,
        title: str,
        document: Document,
        work: HoldWork[Any],
        following: tuple[str, str],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(title, parent)
        self.document, self.work = document, work
        self.unit: Preferred = "mm"
        self.line = ProgressLine(self)
        kept = self.line.sizePolicy()
        kept.setRetainSizeWhenHidden(True)
        self.line.setSizePolicy(kept)
        self.sentence = TextLabel("", self, wrap=True, faint=True)
        self.sentence.setContentsMargins(style.MARGIN, style.GAP, style.MARGIN, 0)
        head = QWidget(self)
        column(self.line, self.sentence, on=head)
        self.add_head(head)
        self.total = TextLabel("", self)
        name, words = following
        self.next_button = QuietButton(
            words,
            self,
            icon_name="chevron-right",
            tip=f"On to {words.lower()}",
            clicked=lambda: self.page_requested.emit(name),
        )
        foot = QWidget(self)
        row(self.total, None, self.next_button, on=foot)
        self.add_foot(foot)
        work.changed.connect(self.refresh)
        document.recipe_changed.connect(self.refresh)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Have computed what is shown."""
        super().showEvent(event)
        self.work.want()
        self.refresh()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self.unit = unit
        self.refresh()

    def refresh(self) -> None:
        """Show what there is, while somebody sees it."""
        if not self.isVisible():
            return
        work = self.work
        working = self.working
        self.line.set_working(working)
        self.line.setVisible(working)
        # Figures that are computed anew stay where they are, fainter; the foot says so.
        self.sentence.show_words(in_unit("" if working and work.view else work.sentence, self.unit))
        self.total.setText("Computing" if working else self.total_words)
        self.total.set_faint(not work.is_current)
        self.show_work()

    @property
    def working(self) -> bool:
        """Whether what is shown is being computed."""
        return self.work.sentence == COMPUTING

    @property
    def total_words(self) -> str:
        """What all of it comes to, for the foot; a class of it says what."""
        return ""

    def show_work(self) -> None:
        """Show what was computed; a class of it says how."""


class EstimatedPage(PrintPage):
    """A page that goes by the estimates and says in its foot what all parts take.

    Attributes
    ----------
    print_work
        Estimates and layers.
    """

    def __init__(
        self,
        title: str,
        document: Document,
        work: PrintWork,
        following: tuple[str, str],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(title, document, work, following, parent)
        self.print_work = work

    @property
    def total_words(self) -> str:
        """Mass, time and cost of all parts."""
        view = self.print_work.view
        return total_text(view, self.document.recipe.print) if view is not None else ""
