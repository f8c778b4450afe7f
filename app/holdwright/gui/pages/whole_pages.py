"""Pages that take the whole window, the open hold staying as it is beneath: a set, a wall."""

from pathlib import Path

from PySide6.QtCore import QObject, Signal, SignalInstance
from PySide6.QtWidgets import QWidget

from holdwright.errors import HoldwrightError
from holdwright.gui.document import questions
from holdwright.gui.document.opening import Opening
from holdwright.gui.document.set_work import SetWork
from holdwright.gui.document.wall_work import WallWork
from holdwright.gui.pages.set.set_page import SetPage
from holdwright.gui.pages.wall.wall_page import WallPage
from holdwright.gui.widgets.number_format import Preferred

WholePage = SetPage | WallPage


class WholePages(QObject):
    """Opens what is shown on a page of its own.

    Attributes
    ----------
    set_work, set_page
        The open set, and its page.
    wall_work, wall_page
        The open wall, and its page.

    Signals
    -------
    shown
        A page is to be shown.
    closed
        It is to be put away.
    failed
        Why something could not be done.
    said
        What was done.
    """

    shown = Signal(QWidget)
    closed = Signal()
    failed = Signal(str)
    said = Signal(str)

    def __init__(self, opening: Opening, parent: QWidget) -> None:
        super().__init__(parent)
        self._parent = parent
        self.set_work = SetWork(self)
        self.set_page = SetPage(self.set_work)
        self.set_page.closed.connect(self.closed)
        self._beneath: WholePage | None = None
        self.set_page.hold_requested.connect(opening.open_hold)
        self.set_work.finished.connect(lambda words: self._tell_away(self.said, words))
        self.set_work.failed.connect(lambda words: self._tell_away(self.failed, words))
        self.wall_work = WallWork(self)
        self.wall_page = WallPage(self.wall_work)
        self.wall_page.closed.connect(self._leave_wall)
        self.wall_work.failed.connect(self.failed)
        self.wall_work.said.connect(self.said)
        opening.others |= {"set": self.open_set, "wall": self.open_wall}

    @property
    def pages(self) -> tuple[WholePage, ...]:
        """All of them."""
        return (self.set_page, self.wall_page)

    def open_set(self, path: Path) -> bool:
        """Open a set's file, and tell whether that went well."""
        try:
            self.set_work.open(path)
        except HoldwrightError as error:
            self.failed.emit(str(error))
            return False
        self.show(self.set_page)
        return True

    def open_wall(self, path: Path) -> bool:
        """Open a wall's file, and tell whether that went well."""
        if not self.wall_page.may_leave():
            return False
        likely = self.set_work.out if self.set_work.report is not None else None
        try:
            self.wall_work.open(path)
        except HoldwrightError as error:
            self.failed.emit(str(error))
            return False
        self.show(self.wall_page)
        self.wall_work.find_set(likely)
        return True

    def show(self, page: WholePage) -> None:
        """Show a page; from a wall one comes back to the set that it was opened over."""
        if page is self.wall_page and not page.isVisible():
            self._beneath = self.set_page if self.set_page.isVisible() else None
        self.shown.emit(page)

    def _tell_away(self, signal: SignalInstance, words: str) -> None:
        """Tell what became of the set where its page, which tells it too, is not in front."""
        if not self.set_page.isVisible():
            signal.emit(words)

    def _leave_wall(self) -> None:
        beneath, self._beneath = self._beneath, None
        if beneath is not None:
            self.shown.emit(beneath)
        else:
            self.closed.emit()

    def may_leave(self) -> bool:
        """Ask about a set that is being finished and a wall not saved; tell whether the window may close."""
        work = self.set_work
        if work.busy and not questions.leave_running_set(self._parent, work.name):
            return False
        return self.wall_page.may_leave()

    def close(self) -> None:
        """End what runs."""
        self.set_work.close()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self.set_page.set_unit(unit)
        self.wall_page.set_unit(unit)
