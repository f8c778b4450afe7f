"""A slim bar over the view, with one row for whatever is on: section, parts, walls, measuring."""

from collections.abc import Sequence
from typing import Final, Literal

from PySide6.QtCore import Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from holdwright.gui.bars.section_controls import SectionRow
from holdwright.gui.form.choice_editors import ChoiceButton
from holdwright.gui.form.figure_box import FigureBox
from holdwright.gui.form.slider import Slider
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.number_format import Preferred, length_scale
from holdwright.gui.widgets.painting import Paper, set_role, tones
from holdwright.hold.hold import CORE, SHELL
from holdwright.parameters.describe import FieldDescription
from holdwright.pipeline.display_results import ShownStep

Row = Literal["raw", "section", "parts", "heat", "measure"]

LIMIT_MM: Final = 6.0
"""Walls thinner than this are marked to begin with: what the split wants of a shell."""

_LIMIT = FieldDescription(
    "limit",
    "length",
    "Minimum thickness",
    "Marks material thinner than this.",
    "mm",
    0.2,
    100.0,
    default=LIMIT_MM,
)
_CHOICES: Final = {"Both": frozenset({SHELL, CORE}), "Shell": frozenset({SHELL}), "Core": frozenset({CORE})}
_LABEL_WIDTH: Final = 18 * style.GRID
_ROW_HEIGHT: Final = 8 * style.GRID


class ViewBar(Paper):
    """Says what is to be seen; whoever draws does it. Hidden while nothing is on.

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
        Wall wanted, mm.
    measure_cleared
        What was measured is to be taken away.
    raw_asked
        Whether the sculpt is to be shown as it came.
    """

    edge = "bottom"
    section_changed = Signal(object, object)
    parts_changed = Signal(object)
    apart_changed = Signal(float)
    heat_limit_changed = Signal(float)
    measure_cleared = Signal()
    raw_asked = Signal(bool)

    def __init__(self, unit: Preferred = "mm", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._unit: Preferred = unit
        self._limit = LIMIT_MM
        self._faint: list[QLabel] = []
        self._rows: dict[str, QWidget] = {}
        self._parts_there = False
        self._shown_thinnest: tuple[str, float, bool] | None = None
        self._measured: tuple[Sequence[float], float | None] = ((), None)
        self._on: set[str] = set()
        self.section = SectionRow(unit)
        self.section.changed.connect(self.section_changed)
        self.part_words: dict[str, ChoiceButton] = {}
        self.apart_slider = Slider()
        self.limit_box = FigureBox(_LIMIT, length_scale(unit, 0.5))
        self._wanted = QLabel("Minimum")
        self._thinnest = QLabel()
        self._distance = QLabel()
        self._clear = QuietButton("Clear")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, style.GRID, 0, style.GRID)
        self._column.setSpacing(0)
        self.raw_words: dict[bool, ChoiceButton] = {}
        self._add_row("raw", "Import", self._raw_row())
        self._add_row("section", "Section", (self.section,))
        self._add_row("parts", "Parts", self._parts_row())
        self._heat_layout = self._add_row("heat", "Thickness", self._heat_row())
        self._add_row("measure", "Measure", self._measure_row())
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.restyle()
        self._arrange()

    @property
    def on(self) -> frozenset[str]:
        """Which rows are shown."""
        return frozenset(name for name, row in self._rows.items() if row.isVisibleTo(self))

    @property
    def heat_limit(self) -> float:
        """Wall wanted, mm."""
        return self._limit

    @property
    def parts(self) -> frozenset[str]:
        """Names of the parts to show."""
        return next(names for word, names in _CHOICES.items() if self.part_words[word].isChecked())

    def set_on(self, name: Row, on: bool) -> None:
        """Show a row, or put it away; with the section's the cut itself."""
        (self._on.add if on else self._on.discard)(name)
        if name == "section":
            self.section.set_on(on=on)
        self._arrange()

    def show_step(self, step: ShownStep | None) -> None:
        """Take what is shown: where it can be cut, and whether it has parts."""
        self.section.show_step(step)
        sized = step is None or step.sized
        for widget in (self._wanted, self.limit_box):
            widget.setVisible(sized)
        self._parts_there = step is not None and {SHELL, CORE} <= set(step.solids)
        self._arrange()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        if unit == self._unit:
            return
        self._unit = unit
        self.section.set_unit(unit)
        fresh = FigureBox(_LIMIT, length_scale(unit, 0.5))
        self._heat_layout.replaceWidget(self.limit_box, fresh)
        fresh.setVisible(not self.limit_box.isHidden())
        self.limit_box.hide()
        self.limit_box.deleteLater()
        self._take_limit_box(fresh)
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
        length = length_scale(self._unit).text(round(thickness, 2))
        wall = length if sized else f"{thickness:.2g} % of the extent"
        self._thinnest.setText(f"Thinnest {wall}{where}")

    def show_measuring(self, text: str = "") -> None:
        """Say that the walls are being measured, or why they are not; blank for neither."""
        self._shown_thinnest = None
        self._thinnest.setText(text)

    def show_measured(self, distances: Sequence[float], angle: float | None = None) -> None:
        """Show what was measured: none, one or two distances in mm, and between two the angle in degrees."""
        self._measured = (distances, angle)
        scale = length_scale(self._unit)
        figures = [scale.text(round(distance, 2)) for distance in distances]
        figures += [] if angle is None else [f"{angle:.1f}° between"]
        self._distance.setText(
            ", ".join(figures) or "Click two points on the hold; click a third for an angle"
        )
        self._clear.setVisible(bool(figures))

    def _add_row(self, name: str, title: str, widgets: tuple[QWidget, ...]) -> QHBoxLayout:
        held = QWidget(self)
        held.setMinimumHeight(_ROW_HEIGHT)
        row = QHBoxLayout(held)
        row.setContentsMargins(style.MARGIN, 0, style.MARGIN, 0)
        row.setSpacing(style.GAP)
        label = QLabel(title, held)
        label.setFixedWidth(max(_LABEL_WIDTH, label.sizeHint().width()))
        self._faint.append(label)
        row.addWidget(label)
        for widget in widgets:
            row.addWidget(widget, 1 if widget is self.section else 0)
        if self.section not in widgets:
            row.addStretch(1)
        self._rows[name] = held
        self._column.addWidget(held)
        return row

    def _parts_row(self) -> tuple[QWidget, ...]:
        held = QWidget()
        words = QHBoxLayout(held)
        words.setContentsMargins(0, 0, 0, 0)
        words.setSpacing(0)
        for text in _CHOICES:
            word = ChoiceButton(text, held)
            word.setAccessibleName(f"Show: {text}")
            word.setToolTip("Choose which parts to show")
            word.clicked.connect(lambda _on=False: self.parts_changed.emit(self.parts))
            words.addWidget(word)
            self.part_words[text] = word
        self.part_words["Both"].setChecked(True)
        label = QLabel("Separation")
        label.setContentsMargins(style.GAP, 0, style.GAP, 0)
        self._faint.append(label)
        self.apart_slider.setRange(0, 100)
        self.apart_slider.setPageStep(20)
        self.apart_slider.setFixedWidth(40 * style.GRID)
        self.apart_slider.setAccessibleName("Separation")
        self.apart_slider.setToolTip("Move the shell and core apart in the view")
        self.apart_slider.valueChanged.connect(lambda value: self.apart_changed.emit(value / 100))
        return held, label, self.apart_slider

    def _raw_row(self) -> tuple[QWidget, ...]:
        """Give the switch between before and after; its key is told, for it is quickest by key."""
        held = QWidget()
        words = QHBoxLayout(held)
        words.setContentsMargins(0, 0, 0, 0)
        words.setSpacing(0)
        for raw, text, told in (
            (True, "Original", "Show the sculpt before import"),
            (False, "Solid", "Show the solid after import"),
        ):
            word = ChoiceButton(text, held)
            word.setAccessibleName(f"Sculpt: {text.lower()}")
            word.setToolTip(f"{told} (press B over the hold to switch)")
            word.clicked.connect(lambda _on=False, raw=raw: self.raw_asked.emit(raw))
            words.addWidget(word)
            self.raw_words[raw] = word
        self.raw_words[False].setChecked(True)
        return (held,)

    def _heat_row(self) -> tuple[QWidget, ...]:
        self._faint.append(self._wanted)
        self._take_limit_box(self.limit_box)
        return self._wanted, self.limit_box, self._thinnest

    def _measure_row(self) -> tuple[QWidget, ...]:
        self._clear.setToolTip("Remove the measurement")
        self._clear.clicked.connect(self.measure_cleared)
        self.show_measured(())
        return self._distance, self._clear

    def _take_limit_box(self, box: FigureBox) -> None:
        self.limit_box = box
        box.show_value(self._limit)
        box.setToolTip("Marks this thickness on the scale")
        box.typed.connect(self._set_limit)
        box.moved.connect(self._set_limit)

    def _set_limit(self, limit: float) -> None:
        self._limit = limit
        self.limit_box.show_value(limit)
        self.heat_limit_changed.emit(limit)

    def _arrange(self) -> None:
        for name, row in self._rows.items():
            row.setVisible(name in self._on and (name != "parts" or self._parts_there))
        self.setVisible(bool(self.on))

    def restyle(self) -> None:
        """Take the colours of the scheme."""
        for label in self._faint:
            set_role(label, QPalette.ColorRole.WindowText, tones(self).faint)
