"""A label that is shortened where it has no room."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.widgets.layout import TextLabel
from holdwright.printable import printable


class ElidedLabel(TextLabel):
    """A line of text that gives way; the whole of it is in the tooltip.

    Attributes
    ----------
    whole
        All of the text.
    """

    def __init__(self, parent: QWidget | None = None, *, faint: bool = False) -> None:
        super().__init__("", parent, faint=faint)
        self.whole = ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def show_text(self, text: str) -> None:
        """Show another text."""
        self.whole = printable(text)
        self.setToolTip(self.whole)
        self.setAccessibleName(self.whole)
        self._fit()
        self.updateGeometry()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for all of the text."""
        return QSize(self.fontMetrics().horizontalAdvance(self.whole) + 2, super().sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Fit the text into another width."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        room, middle = max(self.width(), 0), Qt.TextElideMode.ElideMiddle
        self.setText(self.fontMetrics().elidedText(self.whole, middle, room))
