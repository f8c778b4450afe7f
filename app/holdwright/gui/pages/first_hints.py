"""Three hints over the view of the sample, for whoever sees it for the first time."""

from typing import Final

from PySide6.QtWidgets import QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.pages.preferences import Preferences
from holdwright.gui.widgets import style
from holdwright.gui.widgets.notification import Notification
from holdwright.resources import sample_folder

HINTS: Final = "Open a step and drag its handle on the hold.  Ctrl+Z undoes.  Export writes the files."


class FirstHints(Notification):
    """There while a sample is open, until it is dismissed for good."""

    def __init__(self, document: Document, preferences: Preferences, parent: QWidget) -> None:
        super().__init__(parent, style.GAP, above=True)
        self._document, self._preferences = document, preferences
        self.away.set_words("Got it")
        self.away.setToolTip("Do not show these hints again")
        self.away.clicked.connect(self._dismiss)
        document.opened.connect(self.refresh)

    def refresh(self) -> None:
        """Come with a sample, go with any other document."""
        path = self._document.sculpt_path
        if path is not None and path.parent == sample_folder() and self._preferences.first_hints:
            self.show_words(HINTS)
        else:
            self.hide()

    def _dismiss(self) -> None:
        self._preferences.first_hints = False
