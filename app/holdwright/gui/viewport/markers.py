"""Small flags on the hold where something deserves a look."""

from collections.abc import Callable, Sequence
from textwrap import fill
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.label_layer import write_on_paper
from holdwright.gui.viewport.view_camera import Lens
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred, in_unit, typeset
from holdwright.hold.finding import Finding

_POLE: Final = 30.0
_FLAG: Final = QRectF(0.0, -_POLE, 24.0, 17.0)
_SIGNS: Final = {"note": "i", "warning": "!", "error": "\N{MULTIPLICATION SIGN}"}


class Flags:
    """Findings marked where they are on the hold; those behind it are drawn faintly.

    Parameters
    ----------
    hidden
        Tells whether a place is hidden from the camera.
    shown_at
        Gives where (n, 3) places on the hold are drawn.
    """

    def __init__(self, hidden: Callable[[Floats], bool], shown_at: Callable[[Floats], Floats]) -> None:
        self.markers: tuple[Finding, ...] = ()
        self.hovered = self._told = -1
        self._hidden = hidden
        self._shown_at = shown_at

    def plant(self, markers: Sequence[Finding], told: int = -1) -> None:
        """Show these, all with a place in the frame of what is shown; the sentence of one with it."""
        self.markers, self.hovered, self._told = tuple(markers), -1, told

    def at(self, x: float, y: float, lens: Lens) -> int:
        """Give the number of the flag under a pixel, the nearest to the camera; -1 for none."""
        best, nearest = -1, np.inf
        for number, (left, foot, far) in enumerate(self._feet(lens)):
            box = _FLAG.adjusted(-4, -4, 4, 4).translated(left, foot)
            if 0 < far < nearest and box.contains(x, y):
                best, nearest = number, far
        return best

    def paint(self, painter: QPainter, lens: Lens, tones: style.Colours, preferred: Preferred) -> None:
        """Draw them, the farthest first, and the sentence of the one under the pointer."""
        places, feet = self._places, self._feet(lens)
        for number in np.argsort([-far for _, _, far in feet]):
            x, y, far = feet[number]
            if far > 0:
                hidden = self._hidden(places[number])
                self._draw(painter, QPointF(x, y), self.markers[number], tones, hidden=hidden)
        said = self.hovered if self.hovered >= 0 else self._told
        if 0 <= said < len(self.markers):
            x, y, _ = feet[said]
            sentence = typeset(in_unit(self.markers[said].message, preferred))
            text = fill(sentence, 46, break_long_words=False, break_on_hyphens=False)
            write_on_paper(painter, QPointF(x + 12, y - _POLE - 24 - 8 * text.count("\n")), text, tones)

    @property
    def _places(self) -> Floats:
        places = np.array([marker.where for marker in self.markers], dtype=np.float64)
        return self._shown_at(places.reshape(-1, 3))

    def _feet(self, lens: Lens) -> Floats:
        return lens.project(self._places)

    def _draw(
        self, painter: QPainter, foot: QPointF, marker: Finding, tones: style.Colours, *, hidden: bool
    ) -> None:
        painter.save()
        painter.setOpacity(0.45 if hidden else 1.0)
        painter.translate(foot)
        ink = QColor(tones.ink)
        painter.setPen(QPen(ink, 1.4))
        painter.drawLine(QPointF(0, 0), _FLAG.topLeft())
        cloth = QPainterPath(_FLAG.topLeft())
        cloth.lineTo(_FLAG.topRight())
        cloth.lineTo(_FLAG.right() - 5.0, _FLAG.center().y())
        cloth.lineTo(_FLAG.bottomRight())
        cloth.lineTo(_FLAG.bottomLeft())
        cloth.closeSubpath()
        tint = {"note": tones.note, "warning": tones.warning, "error": tones.error}[marker.severity]
        painter.setBrush(QColor(tint))
        painter.drawPath(cloth)
        painter.setBrush(ink)
        painter.drawEllipse(QPointF(0, 0), 2.6, 2.6)
        font = QFont(painter.font())
        font.setBold(True)
        painter.setFont(font)
        painter.drawText(_FLAG.adjusted(0, 0, -6, 0), Qt.AlignmentFlag.AlignCenter, _SIGNS[marker.severity])
        painter.restore()
