"""A slim bar over the view, with one row for whatever is on: section, parts, walls, measuring."""

from collections.abc import Sequence
from typing import Final, Literal

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.bars.section_controls import SectionRow
from holdwright.gui.form.choice_editors import ChoiceWords
from holdwright.gui.form.figure_box import FigureBox
from holdwright.gui.form.slider import Slider
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import Placed, TextLabel, column, row
from holdwright.gui.widgets.number_format import Preferred, length_scale, length_text
from holdwright.gui.widgets.painting import Paper
from holdwright.hold.hold import CORE, SHELL
from holdwright.parameters.describe import FieldDescription
from holdwright.pipeline.views.display_results import ShownStep

Row = Literal["raw", "section", "parts", "heat", "measure"]

LIMIT_MM: Final = 6.0
"""Material thinner than this is marked to begin with: what the split requires of a shell."""

_WHAT: Final = "Marks material thinner than this."
_LIMIT = FieldDescription("limit", "length", "Minimum thickness", _WHAT, "mm", 0.2, 100.0, default=LIMIT_MM)
_PARTS: Final = {"Both": frozenset({SHELL, CORE}), "Shell": frozenset({SHELL}), "Core": frozenset({CORE})}
_RAW: Final = {
    True: ("Original", "Show the sculpt before import (press B over the hold to switch)", "Sculpt: original"),
    False: ("Solid", "Show the solid after import (press B over the hold to switch)", "Sculpt: solid"),
}
_LABEL_WIDTH: Final = 18 * style.GRID
_ROW_HEIGHT: Final = 8 * style.GRID


class ViewBar(Paper):
    """Says what is to be seen; whoever draws does it. Hidden while nothing is on.

    Attributes
    ----------
    heat_limit
        Least thickness required, mm.

    Signals
    -------
    section_changed
        (3,) point and (3,) unit normal of the plane of section, mm: what lies on the normal's side is taken
        away; None and None when the hold is whole again.
    parts_changed
        Names of the parts to show.
    apart_changed
        How far the parts are off each other, from 0 to 1.
    heat_limit_changed
        Least thickness required, mm.
    thinnest_requested
        The thinnest place is to be shown.
    measure_cleared
        What was measured is to be taken away.
    raw_requested
        Whether the sculpt is to be shown as it came.
    """

    edge = "bottom"
    section_changed = Signal(object, object)
    parts_changed = Signal(object)
    apart_changed = Signal(float)
    heat_limit_changed = Signal(float)
    thinnest_requested = Signal()
    measure_cleared = Signal()
    raw_requested = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._unit: Preferred = "mm"
        self.heat_limit = LIMIT_MM
        self._rows: dict[str, QWidget] = {}
        self._has_parts = False
        self._shown_thinnest: tuple[str, float, bool] | None = None
        self._measured: tuple[Sequence[float], float | None] = ((), None)
        self._on: set[str] = set()
        self.section = SectionRow()
        self.section.changed.connect(self.section_changed)
        self.raw_words = ChoiceWords(_RAW)
        self.raw_words.chosen.connect(lambda raw: self.raw_requested.emit(raw))
        self.raw_words[False].setChecked(True)
        tip = "Choose which parts to show"
        self.part_words = ChoiceWords({text: (text, tip, f"Show: {text}") for text in _PARTS})
        self.part_words.chosen.connect(lambda _text: self.parts_changed.emit(self.parts))
        self.part_words["Both"].setChecked(True)
        tip = "Move the shell and core apart in the view"
        self.apart_slider = Slider("Separation", tip, page=20)
        self.limit_box = FigureBox(_LIMIT, length_scale("mm", 0.5))
        self._required = TextLabel("Minimum", faint=True)
        tip = "Show where the hold is thinnest, edges that taper among it; Least wall leaves those out"
        self._thinnest = QuietButton("", tip=tip, clicked=self.thinnest_requested)
        self._thinnest.setEnabled(False)
        self._distance = TextLabel()
        self._clear = QuietButton("Clear", tip="Remove the measurement", clicked=self.measure_cleared)
        self._set_up_figures()
        separation = TextLabel("Separation", faint=True)
        separation.setContentsMargins(style.GAP, 0, style.GAP, 0)
        self._column = column(on=self, margins=(0, style.GRID, 0, style.GRID))
        self._add_row("raw", "Import", self.raw_words, None)
        self._add_row("section", "Section", (self.section, 1))
        self._add_row("parts", "Parts", self.part_words, separation, self.apart_slider, None)
        self._add_row("heat", "Thickness", self._required, self.limit_box, self._thinnest, None)
        self._add_row("measure", "Measure", self._distance, self._clear, None)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self._arrange()

    @property
    def on(self) -> frozenset[str]:
        """Which rows are shown."""
        return frozenset(name for name, held in self._rows.items() if held.isVisibleTo(self))

    @property
    def parts(self) -> frozenset[str]:
        """Names of the parts to show."""
        return next(names for word, names in _PARTS.items() if self.part_words[word].isChecked())

    def set_on(self, name: Row, on: bool) -> None:
        """Show a row, or put it away; with the section's the cut itself."""
        (self._on.add if on else self._on.discard)(name)
        if name == "section":
            self.section.set_on(on=on)
        self._arrange()

    def show_parts(self, parts: frozenset[str]) -> None:
        """Show other parts."""
        word = next(word for word, names in _PARTS.items() if names == parts)
        if not self.part_words[word].isChecked():
            self.part_words[word].setChecked(True)
            self.parts_changed.emit(parts)

    def show_step(self, step: ShownStep | None) -> None:
        """Take what is shown: where it can be cut, and whether it has parts."""
        self.section.show_step(step)
        sized = step is None or step.sized
        for widget in (self._required, self.limit_box):
            widget.setVisible(sized)
        self._has_parts = step is not None and {SHELL, CORE} <= set(step.solids)
        self._arrange()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        if unit == self._unit:
            return
        self._unit = unit
        self.section.set_unit(unit)
        self.limit_box.set_scale(length_scale(unit, 0.5))
        self.show_measured(*self._measured)
        if self._shown_thinnest is not None:
            self.show_thinnest(*self._shown_thinnest)

    def show_raw(self, raw: bool) -> None:
        """Say whether the sculpt is shown as it came."""
        self.raw_words[raw].setChecked(True)

    def show_thinnest(self, part: str, thickness: float, sized: bool = True) -> None:
        """Say where the wall is thinnest: in mm, or before the hold has its size in percent of its extent."""
        self._shown_thinnest = (part, thickness, sized)
        where = f" in the {part}" if part in (SHELL, CORE) else ""
        wall = length_text(thickness, self._unit) if sized else f"{thickness:.2g} % of the extent"
        self._thinnest.set_words(f"Thinnest {wall}{where}, edges included")
        self._thinnest.setEnabled(True)

    def show_measuring(self, text: str = "") -> None:
        """Say that the walls are being measured, or why they are not; blank for neither."""
        self._shown_thinnest = None
        self._thinnest.set_words(text)
        self._thinnest.setEnabled(False)

    def show_measured(self, distances: Sequence[float], angle: float | None = None) -> None:
        """Show what was measured: none, one or two distances in mm, and between two the angle in degrees."""
        self._measured = (distances, angle)
        figures = [length_text(distance, self._unit) for distance in distances]
        figures += [] if angle is None else [f"{angle:.1f}° between"]
        nothing = "Click two points on the hold; click a third for an angle"
        self._distance.setText(", ".join(figures) or nothing)
        self._clear.setVisible(bool(figures))

    def _add_row(self, name: str, title: str, *items: Placed) -> None:
        held = QWidget(self)
        held.setMinimumHeight(_ROW_HEIGHT)
        label = TextLabel(title, held, faint=True)
        label.setFixedWidth(max(_LABEL_WIDTH, label.sizeHint().width()))
        row(label, *items, on=held, margins=(style.MARGIN, 0, style.MARGIN, 0), gap=style.GAP)
        self._rows[name] = held
        self._column.addWidget(held)

    def _set_up_figures(self) -> None:
        self.apart_slider.setFixedWidth(40 * style.GRID)
        self.apart_slider.valueChanged.connect(lambda value: self.apart_changed.emit(value / 100))
        self.limit_box.show_value(self.heat_limit)
        self.limit_box.setToolTip("Marks this thickness on the scale")
        self.limit_box.typed.connect(self._set_limit)
        self.limit_box.moved.connect(self._set_limit)
        self.show_measured(())

    def _set_limit(self, limit: float) -> None:
        self.heat_limit = limit
        self.limit_box.show_value(limit)
        self.heat_limit_changed.emit(limit)

    def _arrange(self) -> None:
        for name, held in self._rows.items():
            held.setVisible(name in self._on and (name != "parts" or self._has_parts))
        self.setVisible(bool(self.on))
