"""A place to drop a sculpt on: paper within a dashed line."""

from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen

from holdwright.gui.widgets.painting import Paper
from holdwright.gui.widgets.palette import tones


class DropArea(Paper):
    """Shows whether files hang over the window.

    Attributes
    ----------
    inset
        From the widget's edge to the dashed line, pixels.
    """

    inset = 1
    _hovered = False

    def set_hovered(self, hovered: bool) -> None:
        """Show that the files can be dropped here."""
        self._hovered = hovered
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw paper and line."""
        super().paintEvent(event)
        tone, inset = tones(self), self.inset
        painter = QPainter(self)
        pen = QPen(QColor(tone.accent if self._hovered else tone.hairline), 2.0)
        pen.setDashPattern([4.0, 4.0])
        painter.setPen(pen)
        painter.drawRect(self.rect().adjusted(inset, inset, -inset - 1, -inset - 1))
        painter.end()
