"""The joint cut open: hold, bolt, washer, panel and T-nut, to scale."""

from typing import Final

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QWidget

from holdwright.gui.pages.joint.drawing_scale import Drawing, Plan
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred, typeset
from holdwright.hold.hold import CORE
from holdwright.joint.card.joint_card import JointCard
from holdwright.joint.fasteners.bearing import sunk_head_height
from holdwright.joint.holding.section_profile import Profile
from holdwright.units import MILLIMETRES

FLANGE: Final = 1.5
"""Thickness a T-nut's flange is drawn with, mm; the tables do not tell it."""

_BEYOND: Final = 8.0
"""How far the panel is drawn beyond the hold, mm."""

_FOR_WORDS: Final = 22


class SectionDrawing(Drawing):
    """One bolt and what it holds, seen from the side: the wall's upward is up, the hold is at the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        tip = "Cut open through the bolt, to scale; the wall's upward is up."
        super().__init__("Section through the bolt", tip, parent)
        self._card: JointCard | None = None
        self._profile: Profile | None = None
        self._unit: Preferred = "mm"

    def show_joint(self, card: JointCard, profile: Profile, unit: Preferred) -> None:
        """Draw another joint, its lengths in a unit."""
        self._card, self._profile, self._unit = card, profile, unit
        panel, washer = card.conditions.panel, card.hardware.washer
        under = f"on {washer.name}" if washer else "without a washer"
        self.setAccessibleDescription(
            typeset(f"{card.bolt_name} {under}, through {panel.name} into {card.hardware.t_nut.name}")
        )
        self.update()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw what there is to show: on a bare sheet nothing."""
        if self._card is not None and self._profile is not None:
            section = _Section(painter, tone, QRectF(self.rect()), self._card, self._profile)
            section.unit = self._unit
            section.draw()


class _Section:
    """One drawing of a section; lengths in mm, outward from the wall first, then up."""

    unit: Preferred = "mm"
    """Lengths are written in it."""

    def __init__(
        self, painter: QPainter, tone: style.Colours, sheet: QRectF, card: JointCard, profile: Profile
    ) -> None:
        self._painter, self._tone, self._card, self._profile = painter, tone, card, profile
        places = [place for outlines in profile.parts.values() for each in outlines for place in each]
        ups, outs = [float(up) for up, _ in places], [float(out) for _, out in places]
        nut = card.hardware.t_nut
        self._panel = card.conditions.panel.thickness
        self._low = min([*ups, -nut.flange / 2]) - _BEYOND
        self._high = max([*ups, nut.flange / 2]) + _BEYOND
        self._head_from, self._tip = self._ends()
        behind = min(-self._panel - FLANGE, self._tip) - 2.0
        self._outmost = max([*outs, self._head_top])
        room = sheet.adjusted(2, _FOR_WORDS, -2, -_FOR_WORDS)
        self._plan = Plan(np.array([[behind, self._low], [self._outmost, self._high]]), room)

    def draw(self) -> None:
        """Draw all, from the wall to the figures."""
        self._wall()
        self._hold()
        self._nut()
        self._bolt()
        self._axis()
        self._figures()

    @property
    def _seat(self) -> float:
        return self._card.bore.seat_z

    @property
    def _head_top(self) -> float:
        head = self._card.hardware.screw.head
        return self._head_from + (head.height if head.angle is None else 0.0)

    def _ends(self) -> tuple[float, float]:
        """Give where the bolt's length is measured from, and its end."""
        hardware, length = self._card.hardware, self._card.bolt
        washer = hardware.washer.thickness if hardware.washer else 0.0
        sunk = sunk_head_height(hardware.screw, self._card.bore.clearance_diameter)
        start = self._seat + washer + sunk
        return start, start - (length.length or hardware.screw.lengths[-1])

    def _ink(self, share: float = 1.0) -> QColor:
        return QColor(style.mixed(self._tone.paper, self._tone.ink, share))

    def _fill(self, shape: QRectF | QPainterPath, colour: QColor | QBrush) -> None:
        path = QPainterPath() if isinstance(shape, QRectF) else shape
        if isinstance(shape, QRectF):
            path.addRect(shape)
        self._painter.setPen(QPen(self._ink(), 1.0))
        self._painter.setBrush(colour)
        self._painter.drawPath(path)

    def _wall(self) -> None:
        panel = self._plan.box(-self._panel, self._low, 0.0, self._high)
        self._painter.fillRect(panel, QColor(self._tone.sunken))
        # Plies, as a panel of wood shows them at its edge: an odd number.
        plies = max(3, 2 * round(self._panel / 6.0) + 1)
        for number in (*range(1, plies), 0, plies):
            inner = 0 < number < plies
            x = panel.left() + panel.width() * number / plies
            self._painter.setPen(QPen(self._ink(0.28 if inner else 1.0), 1.0 if inner else 1.2))
            self._painter.drawLine(QPointF(x, panel.top()), QPointF(x, panel.bottom()))

    def _hold(self) -> None:
        for name, outlines in self._profile.parts.items():
            colour = self._tone.core if name == CORE else self._tone.shell
            path = self._plan.path(each[:, ::-1] for each in outlines)
            self._fill(path, QColor(style.mixed(self._tone.paper, colour, 0.5)))

    def _nut(self) -> None:
        nut, back = self._card.hardware.t_nut, -self._panel
        metal = self._ink(0.35)
        half = nut.barrel_diameter / 2
        self._fill(self._plan.box(back, -half, back + nut.barrel, half), metal)
        self._fill(self._plan.box(back - FLANGE, -nut.flange / 2, back, nut.flange / 2), metal)

    def _bolt(self) -> None:
        hardware, metal = self._card.hardware, self._ink(0.6)
        screw, washer = hardware.screw, hardware.washer
        half = screw.d / 2
        self._fill(self._plan.box(self._tip, -half, self._head_from, half), metal)
        if washer is not None:
            for side in (1.0, -1.0):
                hole, rim = side * washer.hole / 2, side * washer.outer / 2
                ring = self._plan.box(self._seat, hole, self._seat + washer.thickness, rim)
                self._fill(ring, self._ink(0.85))
        self._fill(self._head(), metal)
        self._thread(half)

    def _head(self) -> QPainterPath:
        screw = self._card.hardware.screw
        head, start = screw.head, self._head_from
        if head.angle is not None:
            sunk = sunk_head_height(screw, screw.d)
            top, bottom = head.diameter / 2, screw.d / 2
            corners = [[start, top], [start, -top], [start - sunk, -bottom], [start - sunk, bottom]]
            return self._plan.path([np.array(corners)])
        path = QPainterPath()
        box = self._plan.box(start, -head.diameter / 2, start + head.height, head.diameter / 2)
        if head.kind in ("button", "flanged_button"):
            path.moveTo(box.bottomLeft())
            path.cubicTo(box.bottomRight(), box.topRight(), box.topLeft())
            path.closeSubpath()
        else:
            path.addRect(box)
        return path

    def _thread(self, half: float) -> None:
        """Mark the thread that is engaged."""
        engaged = self._card.bolt.engagement
        start = -self._panel + self._card.hardware.t_nut.barrel
        self._painter.setPen(QPen(QColor(self._tone.paper), 1.0))
        pitch = max(self._card.hardware.screw.pitch, 3.0 / self._plan.scale)
        for number in range(1, int(engaged / pitch) + 1):
            x = start - number * pitch
            self._painter.drawLine(self._plan.at(x, half), self._plan.at(x + pitch / 2, -half))

    def _axis(self) -> None:
        self._painter.setPen(QPen(self._ink(0.7), 1.0, Qt.PenStyle.DashDotLine))
        self._painter.drawLine(self._plan.at(self._tip - 4.0, 0.0), self._plan.at(self._outmost, 0.0))

    def _figures(self) -> None:
        top, bottom = self._plan.at(0.0, self._high).y() - 8, self._plan.at(0.0, self._low).y() + 8
        if self._card.bolt.length is not None:
            # A bolt is asked for by its name, whatever unit lengths are read in.
            length = self._card.bolt_name.split(" x ")[-1]
            own = self._card.hardware.screw.profile == "iso" and self.unit == "inch"
            self._dimension(self._tip, self._head_from, top, f"{length} mm" if own else length)
        scale, decimals = (1.0, 1) if self.unit == "mm" else (MILLIMETRES["inch"], 2)
        self._dimension(-self._panel, 0.0, bottom, f"{self._panel / scale:.{decimals}f}".removesuffix(".0"))
        self._dimension(0.0, self._seat, bottom, f"{self._seat / scale:.{decimals}f}")

    def _dimension(self, start: float, end: float, y: float, text: str) -> None:
        """Draw a thin line with ticks and the figure on it."""
        painter = self._painter
        left, right = self._plan.at(start, 0.0).x(), self._plan.at(end, 0.0).x()
        painter.setPen(QPen(self._ink(0.7), 1.0))
        painter.drawLine(QLineF(left, y, right, y))
        for x in (left, right):
            painter.drawLine(QLineF(x - 3, y + 3, x + 3, y - 3))
        metrics = painter.fontMetrics()
        wide = metrics.horizontalAdvance(text) + style.GRID
        place = QRectF((left + right - wide) / 2, y - metrics.height() / 2, wide, metrics.height())
        if wide > right - left - 4:
            place.moveTop(y + 2)
        else:
            painter.fillRect(place, QColor(self._tone.paper))
        painter.setPen(QColor(self._tone.ink))
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, text)
