"""The page of a set: its holds, what became of each, and what all of them take."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from holdwright.gui.document import questions
from holdwright.gui.document.set_work import SetWork
from holdwright.gui.pages.set.hold_details import HoldDetails
from holdwright.gui.pages.set.hold_list import WORDS, HoldList
from holdwright.gui.pages.set.set_summary import SetSummary
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.keyboard_order import ReadInOrder
from holdwright.gui.widgets.layout import ElidedLabel, ScrollArea, TextLabel, column, row
from holdwright.gui.widgets.number_format import Preferred, breakable, counted
from holdwright.gui.widgets.painting import Paper
from holdwright.gui.widgets.progress_line import ProgressLine
from holdwright.pipeline.recipes.set_file import PlannedHold
from holdwright.printable import printable

REST_MS: Final = 250
"""How long after a hold is done totals are added up: of many that come at once only once."""


class SetPage(ReadInOrder, Paper):
    """Lists a set, finishes it and stops that, and shows what it takes.

    Attributes
    ----------
    work
        The open set.

    Signals
    -------
    closed
        It is to be put away; work goes on.
    hold_requested
        A hold of it is to be opened: a `PlannedHold`.
    """

    closed = Signal()
    hold_requested = Signal(object)

    def __init__(self, work: SetWork, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.work = work
        self._unit: Preferred = "mm"
        self.setAccessibleName("Set")
        self._state = ElidedLabel(self)
        self._place = ElidedLabel(self, faint=True)
        self._trouble = TextLabel("", self, wrap=True, selectable=True, tint="error")
        self._trouble.hide()
        self._line = ProgressLine(self, still=True)
        self.run_button = QuietButton("", self, primary=True, clicked=work.run)
        self.stop_button = QuietButton(
            "Stop", self, tip="Stop; holds that are finished stay", clicked=work.stop
        )
        self.folder_button = QuietButton(
            "Other folder...", self, tip="Choose where the files go", clicked=self._choose_folder
        )
        self.show_button = QuietButton(
            "Show the files", self, tip="Show the folder of the set", clicked=self._show_folder
        )
        self.back_button = QuietButton("Back", self, tip="Leave the set; what runs goes on (Escape)")
        self.back_button.clicked.connect(self.closed)
        self.list = HoldList(work, self)
        self.details = HoldDetails(self)
        self.summary = SetSummary(work, self)
        self._adding_up = QTimer(self, singleShot=True, interval=REST_MS)
        self._adding_up.timeout.connect(self.summary.refresh)
        self._lay_out()
        self.begins_at = self.list
        self.list.chosen.connect(self._show_details)
        self.list.open_requested.connect(self._open_hold)
        self.details.open_requested.connect(lambda: self._open_hold(self.list.currentIndex().row()))
        self.details.folder_requested.connect(self._show_hold_folder)
        work.opened.connect(self._begin)
        work.changed.connect(self.refresh)
        work.row_changed.connect(self._take_row)
        work.failed.connect(self._say)

    @property
    def title(self) -> str:
        """What the set is called."""
        return self.work.name

    @property
    def state(self) -> str:
        """What is said of how far the set is."""
        return self._state.whole

    @property
    def trouble(self) -> str:
        """Why the set could not be finished; blank for no reason."""
        return self._trouble.accessibleName()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self._unit = unit
        self._show_details(self.list.currentIndex().row())

    def refresh(self) -> None:
        """Show how far the set is."""
        work = self.work
        known, rows = work.count("finished", "unchanged"), len(work.rows)
        everything = known == rows and work.report is not None
        words = "Finish the set" if not known else "Look for changes" if everything else "Finish the rest"
        tip = "Make again what was changed" if everything else "Make every hold, then plates and lists"
        self.run_button.set_words(words)
        self.run_button.setToolTip(tip)
        self.run_button.setVisible(not work.busy)
        self.stop_button.setVisible(work.busy)
        self.stop_button.setEnabled(not work.stopping)
        self.folder_button.setEnabled(not work.busy)
        self.show_button.setEnabled(work.out.is_dir())
        self._line.set_working(work.busy)
        self._line.set_fraction(work.fraction)
        self._state.show_text(self._written_state())
        self._place.show_text(str(work.out))
        self._adding_up.start()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Ask to be put away on Escape."""
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
            return
        super().keyPressEvent(event)

    def _written_state(self) -> str:
        work = self.work
        copies = sum(each.hold.count for each in work.rows)
        told = [f"{counted(copies, 'hold')} of {counted(len(work.rows), 'kind')}"]
        for status, words in WORDS.items():
            if number := work.count(status):
                told.append(f"{counted(number, 'kind')} {words}")
        if work.looking:
            told.append("looking for what is there")
        if work.stopping:
            told.append("stopping")
        elif work.busy and not work.count("waiting", "working"):
            told.append("laying out plates, writing lists")
        return ", ".join(told)

    def _begin(self) -> None:
        self._say("")
        self.refresh()
        self.list.choose(0)

    def _take_row(self, number: int) -> None:
        self._line.set_fraction(self.work.fraction)
        if self.work.rows[number].status != "working":
            self._adding_up.start()
        self._state.show_text(self._written_state())
        if number == self.list.currentIndex().row():
            self._show_details(number)

    def _say(self, sentence: str) -> None:
        self._trouble.show_words(breakable(printable(sentence)))
        self._trouble.setAccessibleName(sentence)

    def _show_details(self, number: int) -> None:
        rows = self.work.rows
        chosen = rows[number] if 0 <= number < len(rows) else None
        has_files = chosen is not None and (self.work.out / chosen.hold.name).is_dir()
        self.details.show_row(chosen, self._unit, has_files=has_files)

    def _open_hold(self, number: int) -> None:
        if 0 <= number < len(self.work.rows):
            hold: PlannedHold = self.work.rows[number].hold
            self.hold_requested.emit(hold)

    def _show_hold_folder(self) -> None:
        number = self.list.currentIndex().row()
        if 0 <= number < len(self.work.rows):
            questions.show_folder(self.work.out / self.work.rows[number].hold.name)

    def _show_folder(self) -> None:
        questions.show_folder(self.work.out)

    def _choose_folder(self) -> None:
        folder = questions.which_folder(self, self.work.out.parent)
        if folder is not None:
            self.use_folder(folder)

    def use_folder(self, folder: Path) -> None:
        """Have the files in another folder."""
        self.work.use_folder(folder)
        self.refresh()

    def _lay_out(self) -> None:
        right = self.scrolled = QWidget()
        margins = (style.MARGIN, style.MARGIN, style.MARGIN, style.MARGIN)
        column(self.details, style.GAP, (self.summary, 1), on=right, margins=margins, gap=style.GAP)
        scroll = ScrollArea(right, self)
        scroll.setFixedWidth(style.SIDEBAR_WIDTH)
        head = row(
            (self._state, 1), self.stop_button, self.run_button, self.back_button,
            margins=(style.MARGIN, style.GAP, style.GAP, style.GRID), gap=style.GAP,
        )  # fmt: skip
        place = row(
            (self._place, 1), self.folder_button, self.show_button,
            margins=(style.MARGIN, 0, style.GAP, style.GAP), gap=style.GAP,
        )  # fmt: skip
        body = row((self.list, 1), scroll)
        column(head, place, self._trouble, self._line, (body, 1), on=self)
