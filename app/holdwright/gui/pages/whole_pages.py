"""Pages that take the whole window, the open hold staying as it is beneath: a set."""

from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from holdwright.errors import HoldwrightError
from holdwright.gui.document import questions
from holdwright.gui.document.opening import Opening
from holdwright.gui.document.set_work import SetWork
from holdwright.gui.pages.set.set_page import SetPage
from holdwright.gui.widgets.number_format import Preferred

WholePage = SetPage


class WholePages(QObject):
    """Opens what is shown on a page of its own.

    Attributes
    ----------
    set_work, set_page
        The open set, and its page.

    Signals
    -------
    shown
        A page is to be shown.
    closed
        It is to be put away.
    failed
        Why a file could not be opened.
    """

    shown = Signal(QWidget)
    closed = Signal()
    failed = Signal(str)

    def __init__(self, opening: Opening, parent: QWidget) -> None:
        super().__init__(parent)
        self._parent = parent
        self.set_work = SetWork(self)
        self.set_page = SetPage(self.set_work)
        self.set_page.closed.connect(self.closed)
        self.set_page.hold_requested.connect(opening.open_hold)
        opening.others["set"] = self.open_set

    @property
    def pages(self) -> tuple[WholePage, ...]:
        """All of them."""
        return (self.set_page,)

    def open_set(self, path: Path) -> bool:
        """Open a set's file, and tell whether that went well."""
        try:
            self.set_work.open(path)
        except HoldwrightError as error:
            self.failed.emit(str(error))
            return False
        self.shown.emit(self.set_page)
        return True

    def may_leave(self) -> bool:
        """Ask about a set that is being finished, and tell whether the window may close."""
        work = self.set_work
        return not work.busy or questions.leave_running_set(self._parent, work.name)

    def close(self) -> None:
        """End what runs."""
        self.set_work.close()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self.set_page.set_unit(unit)
