"""A label that is shortened where it has no room."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from holdwright.printable import printable


class ElidedLabel(QLabel):
    """A line of text that gives way; the whole of it is in the tooltip."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._whole = ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    @property
    def whole(self) -> str:
        """All of the text."""
        return self._whole

    def show_text(self, text: str) -> None:
        """Show another text."""
        self._whole = printable(text)
        self.setToolTip(self._whole)
        self.setAccessibleName(self._whole)
        self._fit()
        self.updateGeometry()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give room for all of the text."""
        return QSize(self.fontMetrics().horizontalAdvance(self._whole) + 2, super().sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Fit the text into another width."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        self.setText(
            self.fontMetrics().elidedText(self._whole, Qt.TextElideMode.ElideMiddle, max(self.width(), 0))
        )
