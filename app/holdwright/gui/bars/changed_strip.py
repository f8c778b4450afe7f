"""The strip above the view that offers to replay the recipe on a sculpt that has changed on disk."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from holdwright.gui.document.sculpt_watch import SculptWatch
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import ElidedLabel, row
from holdwright.gui.widgets.painting import Paper


class ChangedStrip(Paper):
    """There while a change is offered.

    Attributes
    ----------
    again, each_time, away
        Buttons: replay; replay, and do so unasked from now on; leave what is open as it is.
    """

    each_time_wanted = Signal()
    """Changed sculpts are to be replayed unasked."""

    edge = "bottom"

    def __init__(self, watch: SculptWatch, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._watch = watch
        self._words = ElidedLabel(self)
        self.again = QuietButton("Replay on it", self, tip="Do all steps on it", clicked=watch.take)
        tip = "Replay, and from now on whenever it changes; Preferences turn it off"
        self.each_time = QuietButton("Each time", self, tip=tip, clicked=self._ask_each_time)
        tip = "Leave the hold as it is until the next edit or export"
        self.away = QuietButton("Dismiss", self, tip=tip, clicked=watch.dismiss)
        buttons, margins = (self.again, self.each_time, self.away), (style.MARGIN, 0, style.GRID, 1)
        row((self._words, 1), *buttons, on=self, margins=margins, gap=style.GRID)
        self.setAccessibleName("Sculpt changed on disk")
        watch.changed.connect(self.refresh)
        self.refresh()

    @property
    def words(self) -> str:
        """Its sentence; blank while it is hidden."""
        return "" if self.isHidden() else self._words.whole

    def refresh(self) -> None:
        """Come with an offer, and go with it."""
        path = self._watch.offered
        if path is not None:
            self._words.show_text(f"{path.name} changed on disk")
        self.setVisible(path is not None)

    def _ask_each_time(self) -> None:
        self.each_time_wanted.emit()
        self._watch.take()
