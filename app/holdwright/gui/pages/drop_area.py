"""A place to drop a sculpt on: paper within a dashed line."""

from PySide6.QtGui import QColor, QPainter, QPen

from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import Paper, paint_frame


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

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw paper and line."""
        super().paint(painter, tone)
        pen = QPen(QColor(tone.accent if self._hovered else tone.hairline), 2.0)
        pen.setDashPattern([4.0, 4.0])
        painter.setPen(pen)
        paint_frame(painter, self, self.inset)
