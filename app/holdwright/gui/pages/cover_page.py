"""A page that covers the window until it is put away."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.painting import OverParent, Paper


class CoverPage(OverParent, Paper):
    """Covers its parent; Escape or "Back" puts it away.

    Signals
    -------
    closed
        It was put away.
    """

    closed = Signal()

    def __init__(self, parent: QWidget, name: str, back_to: str) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._back = QuietButton("Back", self, tip=f"Back to {back_to} (Escape)", clicked=self.put_away)

    def put_away(self) -> None:
        """Take it off the window."""
        self.hide()
        self.closed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Put it away on Escape; keep all other keys from what lies beneath."""
        if event.key() == Qt.Key.Key_Escape:
            self.put_away()
        event.accept()
