"""Small flags on the hold where something deserves a look."""

from collections.abc import Callable, Sequence
from textwrap import fill
from typing import Final

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.label_layer import Room, write_on_paper
from holdwright.gui.viewport.view_camera import Lens
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred, in_unit, typeset
from holdwright.hold.finding import Finding
from holdwright.render.contour import CutPlane

_POLE: Final = 30.0
_FLAG: Final = QRectF(0.0, -_POLE, 24.0, 17.0)
_ASIDE: Final = (0.0, -_FLAG.width())
_RISES: Final = tuple(rise * (_FLAG.height() + 3.0) for rise in range(5))
"""How far, in pixels, a cloth may fly to the left and above where it would fly to the right."""
ON_CUT: Final = 0.6
"""How far from a section a place still counts as on it, mm: it is set in steps."""

_SIGNS: Final = {"note": "i", "warning": "!", "error": "\N{MULTIPLICATION SIGN}"}


class Flags:
    """Findings marked where they are on the hold; those behind it are drawn faintly.

    Parameters
    ----------
    hidden
        Tells whether a place is hidden from the camera.
    shown_at
        Gives where (n, 3) places on the hold are drawn.
    handles
        Gives where handles are on screen.
    section
        Gives the section, or None: no flag is left in the air where it has taken the hold away.
    """

    def __init__(
        self,
        hidden: Callable[[Floats], bool],
        shown_at: Callable[[Floats], Floats],
        handles: Callable[[Lens], list[QRectF]],
        section: Callable[[], CutPlane | None],
    ) -> None:
        self.markers: tuple[Finding, ...] = ()
        self.hovered = self._told = -1
        self._hidden = hidden
        self._shown_at = shown_at
        self._handles = handles
        self._section = section

    def plant(self, markers: Sequence[Finding], told: int = -1) -> None:
        """Show these, all with a place in the frame of what is shown; the sentence of one with it."""
        self.markers, self.hovered, self._told = tuple(markers), -1, told

    def at(self, x: float, y: float, lens: Lens) -> int:
        """Give the number of the flag under a pixel, the nearest to the camera; -1 for none."""
        best, nearest = -1, np.inf
        for number, (box, far) in enumerate(self._cloths(lens)):
            if 0 < far < nearest and box.adjusted(-4, -4, 4, 4).contains(x, y):
                best, nearest = number, far
        return best

    def cloths(self, lens: Lens) -> list[QRectF]:
        """Give where the flags are on screen."""
        return [box for box, far in self._cloths(lens) if far > 0]

    def _cloths(self, lens: Lens) -> list[tuple[QRectF, float]]:
        """Give each flag's place and distance; it flies to the left, or higher, where its place is taken."""
        found, taken = [], list(self._handles(lens))
        for x, y, far in self._feet(lens):
            tried = (_FLAG.translated(x + aside, y - rise) for rise in _RISES for aside in _ASIDE)
            free = (box for box in tried if not any(map(box.intersects, taken)))
            found.append((next(free, _FLAG.translated(x, y)), float(far)))
            taken += [found[-1][0]] if far > 0 else []
        return found

    def paint(
        self, painter: QPainter, lens: Lens, tones: style.Colours, preferred: Preferred, room: Room
    ) -> None:
        """Draw them, the farthest first, and the sentence of the one under the pointer."""
        places, feet, cloths = self._places, self._feet(lens), self._cloths(lens)
        for number in np.argsort([-far for _, _, far in feet]):
            x, y, far = feet[number]
            if far > 0:
                hidden = self._hidden(places[number])
                cloth = cloths[number][0].translated(-x, -y)
                self._draw(painter, QPointF(x, y), cloth, self.markers[number], tones, hidden=hidden)
        said = self.hovered if self.hovered >= 0 else self._told
        if 0 <= said < len(self.markers) and feet[said][2] > 0:
            x, y, _ = feet[said]
            sentence = typeset(in_unit(self.markers[said].message, preferred))
            text = fill(sentence, 46, break_long_words=False, break_on_hyphens=False)
            cloth = cloths[said][0]
            at = QPointF(x + 12, cloth.top() - 24 - 8 * text.count("\n"))
            write_on_paper(painter, at, text, tones, room)

    @property
    def _places(self) -> Floats:
        places = np.array([marker.where for marker in self.markers], dtype=np.float64)
        return self._shown_at(places.reshape(-1, 3))

    def _feet(self, lens: Lens) -> Floats:
        """Give where their poles stand on screen; those to be left out as if behind the camera."""
        places, section = self._places, self._section()
        feet = lens.project(places)
        if section is not None:
            feet[(places - section.origin) @ section.normal > ON_CUT, 2] = -1.0
        return feet

    def _draw(
        self,
        painter: QPainter,
        foot: QPointF,
        cloth: QRectF,
        marker: Finding,
        tones: style.Colours,
        *,
        hidden: bool,
    ) -> None:
        """Draw a flag, its cloth in a rectangle as seen from the pole's foot."""
        painter.save()
        painter.setOpacity(0.65 if hidden else 1.0)
        painter.translate(foot)
        ink = QColor(tones.ink)
        turned = cloth.right() < 1.0
        pole, fly, notch = cloth.left(), cloth.right(), cloth.right() - 5.0
        if turned:
            pole, fly, notch = cloth.right(), cloth.left(), cloth.left() + 5.0
        outline = QPainterPath(QPointF(pole, cloth.top()))
        for across, down in ((fly, cloth.top()), (notch, cloth.center().y()), (fly, cloth.bottom())):
            outline.lineTo(across, down)
        outline.lineTo(pole, cloth.bottom())
        outline.closeSubpath()
        stand = QLineF(QPointF(0, 0), QPointF(pole, cloth.top()))
        # Ink alone would be lost on stone that is as light, or as dark.
        painter.setPen(QPen(QColor(tones.paper), 3.6))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawLine(stand)
        painter.drawPath(outline)
        painter.drawEllipse(QPointF(0, 0), 2.6, 2.6)
        painter.setPen(QPen(ink, 1.4))
        painter.drawLine(stand)
        tint = {"note": tones.note, "warning": tones.warning, "error": tones.error}[marker.severity]
        painter.setBrush(QColor(tint))
        painter.drawPath(outline)
        painter.setBrush(ink)
        painter.drawEllipse(QPointF(0, 0), 2.6, 2.6)
        font = QFont(painter.font())
        font.setBold(True)
        painter.setFont(font)
        sign = cloth.adjusted(6.0 if turned else 0.0, 0.0, 0.0 if turned else -6.0, 0.0)
        painter.drawText(sign, Qt.AlignmentFlag.AlignCenter, _SIGNS[marker.severity])
        painter.restore()
