"""The row of the section: which way to cut - along the bore, across it, level with the wall - and how far."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, floor
from typing import Final, Literal

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from holdwright.geometry.arrays import Floats
from holdwright.gui.form.choice_editors import ChoiceWords
from holdwright.gui.form.figure_box import FigureBox
from holdwright.gui.form.slider import Slider
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import row
from holdwright.gui.widgets.number_format import Preferred, length_scale
from holdwright.hold.feature import Bore
from holdwright.parameters.describe import FieldDescription
from holdwright.pipeline.views.display_results import ShownStep

Way = Literal["along", "across", "level"]

TICKS: Final = 10
"""Slider positions to a millimetre."""

_OFFSET = FieldDescription("offset", "length", "Section position", "Where the section cuts.", "mm")
_WORDS: Final[dict[Way, tuple[str, str, str]]] = {
    "along": ("Along the bore", "Vertical, along the bore", "Section: along the bore"),
    "across": ("Across", "Horizontal, across the hold", "Section: across"),
    "level": ("Level", "In the plane of the wall, measured from the finished back", "Section: level"),
}


@dataclass(frozen=True, eq=False)
class SectionAxis:
    """Where a plane of section may slide."""

    origin: Floats
    """(3,) point of the plane at offset 0, mm."""
    normal: Floats
    """(3,) unit normal; what lies on its side is taken away."""
    low: float
    high: float
    """low and high: offsets between which the plane meets the hold, mm."""
    start: float
    """The offset to begin with."""

    def at(self, offset: float) -> Floats:
        """Give the plane's point at an offset."""
        return np.asarray(self.origin + self.normal * offset)


def section_axes(step: ShownStep) -> Mapping[Way, SectionAxis]:
    """Give the ways to cut what a step shows; none where it has no solid.

    The first two contain the axis of the last bore, or, before there is one, the line square to the wall
    through the middle of the hold. The third is measured from the finished back.
    """
    if step.measures is None:
        return {}
    low, high = np.array(step.measures.bounds_mm)
    bores = [feature for feature in step.features if isinstance(feature, Bore)]
    foot, axis = (low + high) / 2, np.array([0.0, 0.0, 1.0])
    if bores:
        foot, axis = np.array([bores[-1].x, bores[-1].y, 0.0]), np.array(bores[-1].axis)
    aside = np.cross([0.0, 1.0, 0.0], axis)
    aside /= np.linalg.norm(aside)
    up = np.cross(axis, aside)
    corners = np.array(
        [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    )
    return {
        "along": _axis(foot, aside, corners),
        "across": _axis(foot, up, corners),
        "level": _axis(np.array([foot[0], foot[1], 0.0]), np.array([0.0, 0.0, 1.0]), corners),
    }


def _axis(origin: Floats, normal: Floats, corners: Floats) -> SectionAxis:
    # In whole ticks: these are figures to be read.
    ticks = (corners - origin) @ normal * TICKS
    low, high = ceil(round(float(ticks.min()), 6)), floor(round(float(ticks.max()), 6))
    start = 0 if low < 0 < high and -low > 0.1 * (high - low) else round((low + high) / 2)
    return SectionAxis(origin, normal, low / TICKS, high / TICKS, start / TICKS)


class SectionRow(QWidget):
    """Keeps way, offset and half while the hold changes beneath.

    Signals
    -------
    changed
        Point and unit normal of the plane, or None and None.
    """

    changed = Signal(object, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._axes: Mapping[Way, SectionAxis] = {}
        self._way: Way = "along"
        self._offsets: dict[Way, float] = {}
        self._turned = False
        self._on = False
        self.words = ChoiceWords(_WORDS, self)
        self.words.chosen.connect(self._choose)
        tip = "Move the section through the hold"
        self.slider = Slider("Section position", tip, self, page=5 * TICKS)
        self.offset_box = FigureBox(_OFFSET, length_scale("mm", 0.5), self)
        tip = "Hide the other half instead"
        self.other_button = QuietButton("Flip", self, tip=tip, clicked=self._turn)
        self._lay_out()

    @property
    def offset(self) -> float:
        """How far the plane is from its axis or from the back, mm."""
        axis = self._axes.get(self._way)
        if axis is None:
            return 0.0
        return min(max(self._offsets.get(self._way, axis.start), axis.low), axis.high)

    def set_on(self, *, on: bool) -> None:
        """Cut, or let the hold be whole."""
        if on != self._on:
            self._on = on
            self._say()

    def show_step(self, step: ShownStep | None) -> None:
        """Take another hold to cut."""
        self._axes = section_axes(step) if step is not None else {}
        bored = step is not None and any(isinstance(feature, Bore) for feature in step.features)
        self.words["along"].setText(_WORDS["along"][0] if bored else "Upright")
        self.words["along"].updateGeometry()
        self._refresh()
        if self._on:
            self._say()

    def slide_to(self, place: Floats) -> None:
        """Cut, the same way, through (3,) a place in mm; on whole ticks."""
        axis = self._axes.get(self._way)
        if axis is not None:
            along = round(float((place - axis.origin) @ axis.normal) * TICKS) / TICKS
            self._move(min(max(along, axis.low), axis.high))

    def set_unit(self, unit: Preferred) -> None:
        """Show the offset in another unit."""
        self.offset_box.set_scale(length_scale(unit, 0.5))

    def _choose(self, way: Way) -> None:
        self._way = way
        self._refresh()
        self._say()

    def _move(self, offset: float) -> None:
        self._offsets[self._way] = offset
        self._refresh()
        self._say()

    def _turn(self) -> None:
        self._turned = not self._turned
        self._say()

    def _say(self) -> None:
        axis = self._axes.get(self._way)
        if axis is None or not self._on:
            self.changed.emit(None, None)
        else:
            self.changed.emit(axis.at(self.offset), -axis.normal if self._turned else axis.normal)

    def _refresh(self) -> None:
        axis = self._axes.get(self._way)
        self.setEnabled(axis is not None)
        self.words[self._way].setChecked(True)
        self.offset_box.show_value(round(self.offset, 3))
        if axis is not None:
            self.slider.show_value(
                round(self.offset * TICKS), round(axis.low * TICKS), round(axis.high * TICKS)
            )

    def _lay_out(self) -> None:
        self.words[self._way].setChecked(True)
        self.slider.setSingleStep(TICKS // 2)
        self.slider.valueChanged.connect(lambda value: self._move(value / TICKS))
        self.offset_box.setToolTip("Where the section cuts")
        self.offset_box.typed.connect(self._move)
        self.offset_box.moved.connect(self._move)
        self.offset_box.show_value(round(self.offset, 3))
        row(self.words, (self.slider, 1), self.offset_box, self.other_button, on=self, gap=style.GAP)
