"""The row of the section: which way to cut, and how far along."""

from collections.abc import Mapping
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from holdwright.geometry.arrays import Floats
from holdwright.gui.bars.section_axes import WAYS, SectionAxis, Way, section_axes
from holdwright.gui.form.choice_editors import ChoiceButton
from holdwright.gui.form.figure_box import FigureBox
from holdwright.gui.form.slider import Slider
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.number_format import Preferred, length_scale
from holdwright.hold.feature import Bore
from holdwright.parameters.describe import FieldDescription
from holdwright.pipeline.display_results import ShownStep

TICKS: Final = 10
"""Slider positions to a millimetre."""

_OFFSET = FieldDescription("offset", "length", "Section position", "Where the section cuts.", "mm")
_WORDS: Final[dict[Way, str]] = {"along": "Along the bore", "across": "Across", "level": "Level"}
_TOLD: Final[dict[Way, str]] = {
    "along": "Vertical, along the bore",
    "across": "Horizontal, across the hold",
    "level": "In the plane of the wall, measured from the finished back",
}


class SectionRow(QWidget):
    """Keeps way, offset and half while the hold changes beneath.

    Signals
    -------
    changed
        Point and unit normal of the plane, or None and None.
    """

    changed = Signal(object, object)

    def __init__(self, unit: Preferred, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._axes: Mapping[Way, SectionAxis] = {}
        self._way: Way = "along"
        self._offsets: dict[Way, float] = {}
        self._turned = False
        self._on = False
        self.words: dict[Way, ChoiceButton] = {}
        self.slider = Slider(self)
        self.offset_box = FigureBox(_OFFSET, length_scale(unit, 0.5), self)
        self.other_button = QuietButton("Flip", self)
        self._row = QHBoxLayout(self)
        self._lay_out()
        self._take_box(self.offset_box)

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
        self.words["along"].setText(_WORDS["along"] if bored else "Upright")
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
        fresh = FigureBox(_OFFSET, length_scale(unit, 0.5), self)
        self._row.replaceWidget(self.offset_box, fresh)
        self.offset_box.hide()
        self.offset_box.deleteLater()
        self._take_box(fresh)

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
            blocked = self.slider.blockSignals(True)
            self.slider.setRange(round(axis.low * TICKS), round(axis.high * TICKS))
            self.slider.setValue(round(self.offset * TICKS))
            self.slider.blockSignals(blocked)
            self.slider.update()

    def _take_box(self, box: FigureBox) -> None:
        self.offset_box = box
        box.setToolTip("Where the section cuts")
        box.typed.connect(self._move)
        box.moved.connect(self._move)
        box.show_value(round(self.offset, 3))
        QWidget.setTabOrder(self.slider, box)
        QWidget.setTabOrder(box, self.other_button)

    def _lay_out(self) -> None:
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(style.GAP)
        held = QWidget(self)
        words = QHBoxLayout(held)
        words.setContentsMargins(0, 0, 0, 0)
        words.setSpacing(0)
        for way in WAYS:
            word = ChoiceButton(_WORDS[way], held)
            word.setAccessibleName(f"Section: {_WORDS[way].lower()}")
            word.setToolTip(_TOLD[way])
            word.clicked.connect(lambda _on=False, way=way: self._choose(way))
            words.addWidget(word)
            self.words[way] = word
        self.words[self._way].setChecked(True)
        self.slider.setSingleStep(TICKS // 2)
        self.slider.setPageStep(5 * TICKS)
        self.slider.setAccessibleName("Section position")
        self.slider.setToolTip("Move the section through the hold")
        self.slider.valueChanged.connect(lambda value: self._move(value / TICKS))
        self.other_button.setToolTip("Hide the other half instead")
        self.other_button.clicked.connect(self._turn)
        self._row.addWidget(held)
        self._row.addWidget(self.slider, 1)
        self._row.addWidget(self.offset_box)
        self._row.addWidget(self.other_button)
