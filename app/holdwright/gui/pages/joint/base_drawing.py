"""The back of a hold as it presses on its wall, and all drawings of its joint."""

from itertools import pairwise
from typing import Final

import numpy as np
from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QWidget

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import signed_area
from holdwright.gui.pages.joint.drawing_scale import Drawing, Plan, field_image
from holdwright.gui.pages.joint.section_drawing import SectionDrawing
from holdwright.gui.pages.page import paragraph
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import column, resize_list
from holdwright.gui.widgets.number_format import Preferred, in_unit, typeset
from holdwright.gui.widgets.style import Colours
from holdwright.joint.card.joint_card import JointCard, pressed_by
from holdwright.joint.holding.contact import Contact
from holdwright.joint.holding.joint_shape import JointShape
from holdwright.joint.holding.overturning import Lifting, lifting
from holdwright.pipeline.views.joint_view import JointView

SPECK: Final = 0.5
"""Outlines of less area are not drawn, mm2."""

_BOLD_EDGE: Final = 4.0


class BaseDrawing(Drawing):
    """Contact, pressure, bolts, wood screw and the edge that lifts first, seen from the front through it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(
            "Back of the hold on its wall",
            "Seen through the hold as it hangs, to scale: the darker, the more the bolt presses there. "
            "A heavy line marks the edge that lifts first; hatching, where it lifts under the load.",
            parent,
        )
        self._shape: JointShape | None = None
        self._cards: tuple[JointCard, ...] = ()
        self._lifting: Lifting | None = None
        self._unit: Preferred = "mm"

    def show_joint(
        self, shape: JointShape, cards: tuple[JointCard, ...], lifts: Lifting | None, unit: Preferred
    ) -> None:
        """Draw another back, what is said of it in a unit."""
        self._shape, self._cards, self._lifting, self._unit = shape, cards, lifts, unit
        self.setAccessibleDescription(self.words)
        self.update()

    @property
    def words(self) -> str:
        """What it shows, in words."""
        if self._shape is None:
            return ""
        contact, lifts = self._shape.contact, self._lifting
        pressed = contact.pressure.share
        said = f"{contact.area / 100:.0f} cm2 touch the wall"
        said += "" if pressed > 0.9999 else f", {pressed:.0%} of them press"
        said = typeset(in_unit(said, self._unit))
        if lifts is None:
            return f"{said}; no edge lifts."
        if lifts.safety <= 0.0:
            return f"{said}; any load lifts the hatched part, since the bolt is far off the middle."
        if lifts.safety < 1.0:
            return f"{said}; the hatched part lifts under the load, from {lifts.safety:.2f} of it on."
        return f"{said}; the marked edge lifts first, at {lifts.safety:.2f} times the load."

    def paint(self, painter: QPainter, tone: Colours) -> None:
        """Draw what there is to show: on a bare sheet nothing."""
        if self._shape is None:
            return
        contact = self._shape.contact
        plan = self._plan(contact.hull)
        self._paint_contact(painter, tone, plan, contact)
        if self._lifting is not None:
            self._paint_lifting(painter, tone, plan, contact, self._lifting)
        self._paint_bolts(painter, tone, plan, self._shape)
        self._paint_screws(painter, tone, plan, self._shape)

    def _paint_contact(self, painter: QPainter, tone: Colours, plan: Plan, contact: Contact) -> None:
        """Tint what presses by how hard it does, and draw the outline."""
        path = plan.path(_outlines(contact))
        painter.fillPath(path, QColor(tone.sunken))
        pressure = contact.pressure
        table = [QColor(style.mixed(tone.sunken, tone.core, share)) for share in np.linspace(0.0, 0.75, 64)]
        image = field_image(pressure.field / pressure.field.max(), table)
        plan.draw_field(painter, pressure.grid, image, path)
        painter.strokePath(path, QPen(QColor(tone.ink), 1.2))

    def _paint_lifting(
        self, painter: QPainter, tone: Colours, plan: Plan, contact: Contact, lifts: Lifting
    ) -> None:
        path = plan.path(_outlines(contact))
        a, b, c = lifts.line
        steep = float(np.hypot(b, c))
        if lifts.safety < 1.0 and steep > 0.0:
            painter.save()
            painter.setClipPath(path)
            normal = np.array([b, c]) / steep
            along = np.array([-normal[1], normal[0]])
            edge = -a / steep * normal
            reach = float(np.abs(contact.hull).max()) * 3.0
            painter.setPen(QPen(QColor(tone.ink), 1.6))
            painter.drawLine(_line(plan, edge - reach * along, edge + reach * along))
            painter.setPen(QPen(QColor(tone.ink), 0.8))
            apart = 6.0 / plan.scale
            for number in range(1, int(reach / apart)):
                here = edge - number * apart * normal
                painter.drawLine(_line(plan, here - reach * along, here + reach * along))
            painter.restore()
        painter.setPen(QPen(QColor(tone.accent), _BOLD_EDGE, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        corners = _edge_near(contact, lifts.corner)
        for start, end in pairwise(corners):
            painter.drawLine(_line(plan, start, end))

    def _paint_bolts(self, painter: QPainter, tone: Colours, plan: Plan, shape: JointShape) -> None:
        middle = shape.reach.middle
        for bore, card in zip(shape.bores, self._cards, strict=True):
            at = plan.at(bore.x - float(middle[0]), bore.y - float(middle[1]))
            washer = card.hardware.washer
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(tone.ink), 1.0, Qt.PenStyle.DashLine))
            plan.circle(painter, at, bore.pocket_diameter / 2)
            if washer is not None:
                painter.setPen(QPen(QColor(tone.faint), 1.0))
                plan.circle(painter, at, washer.outer / 2)
            painter.setPen(QPen(QColor(tone.ink), 1.0))
            painter.setBrush(QColor(style.mixed(tone.paper, tone.ink, 0.6)))
            plan.circle(painter, at, card.hardware.screw.d / 2)

    def _paint_screws(self, painter: QPainter, tone: Colours, plan: Plan, shape: JointShape) -> None:
        """Mark where wood screws go that are still needed."""
        card, (x, y) = self._cards[0], shape.reach.middle
        painter.setPen(QPen(QColor(tone.ink), 1.4))
        painter.setBrush(QColor(tone.paper))
        for screw in card.further_screws[: int(card.screws.value or 0)]:
            at = plan.at(screw.x - x, screw.y - y)
            radius = max(screw.row.head_diameter / 2 * plan.scale, 4.0)
            painter.drawEllipse(at, radius, radius)
            for right, up in ((0.6, 0.6), (0.6, -0.6)):
                away = QPointF(right * radius, up * radius)
                painter.drawLine(at - away, at + away)


class Sections(QWidget):
    """A section through each bolt.

    Attributes
    ----------
    drawings
        One for each.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.drawings: list[SectionDrawing] = []
        self._column = column(gap=-1)
        self.words = paragraph("", self, faint=True)
        column(self._column, self.words, on=self, gap=style.GRID)

    def show_joint(self, view: JointView, cards: tuple[JointCard, ...], unit: Preferred) -> None:
        """Draw another joint, its lengths in a unit."""
        name = {"mm": "mm", "inch": "inches"}[unit]
        self.words.setText(f"Cut open through the bolt, in {name}, to scale.")
        resize_list(self._column, self.drawings, len(view.profiles), lambda: SectionDrawing(self))
        for drawing, card, profile in zip(self.drawings, cards, view.profiles, strict=True):
            drawing.show_joint(card, profile, unit)


class BackView(QWidget):
    """The back, drawn and in words.

    Attributes
    ----------
    base
        The drawing.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.base = BaseDrawing(self)
        self._base_words = paragraph("", self, faint=True)
        column(self.base, self._base_words, on=self, margins=(0, style.GAP, 0, 0), gap=style.GRID)

    def show_joint(self, view: JointView, cards: tuple[JointCard, ...], unit: Preferred) -> None:
        """Draw another joint, its measures in a unit."""
        conditions = cards[0].conditions
        shape, load = pressed_by(view.shape, [card.hardware for card in cards], conditions), conditions.load
        clamp = sum(card.preload.residual.likely for card in cards)
        reach = conditions.mounted(shape.reach)
        self.base.show_joint(shape, cards, lifting(shape.contact, reach, load, clamp), unit)
        self._base_words.setText(self.base.words)


def _outlines(contact: Contact) -> list[Floats]:
    """Leave out the specks that a seam between two parts leaves."""
    return [each for each in contact.outlines if abs(signed_area(each)) > SPECK]


def _line(plan: Plan, start: Floats, end: Floats) -> QLineF:
    return QLineF(plan.at(*start), plan.at(*end))


def _edge_near(contact: Contact, corner: Floats, share: float = 0.06) -> Floats:
    """Give the corners (n, 2) of the hull next to one, to either side, some share of it all round."""
    hull = contact.hull
    first = int(np.hypot(*(hull - corner).T).argmin())
    lengths = np.hypot(*(np.roll(hull, -1, axis=0) - hull).T)
    far = share * float(lengths.sum())
    ahead = _walk(np.roll(hull, -first, axis=0), far)
    back = _walk(np.roll(hull[::-1], first + 1, axis=0), far)
    return np.concatenate([back[::-1], ahead[1:]])


def _walk(places: Floats, far: float) -> Floats:
    """Go along places (n, 2) so far, mm."""
    walked, left = [places[0]], far
    for start, end in pairwise(places):
        long = float(np.hypot(*(end - start)))
        if long >= left:
            walked.append(start + (end - start) * left / long)
            break
        walked.append(end)
        left -= long
    return np.array(walked)
