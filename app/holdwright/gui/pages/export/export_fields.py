"""How the parts lie in their files, and whose they are: fields of the export page."""

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from holdwright.export.options import USUAL_BRIM, ExportOptions
from holdwright.gui.form.field_frame import PlainLine
from holdwright.gui.pages.export.sheet_fields import SheetFields
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import CheckBox
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.number_format import Preferred, in_unit

_LABEL_WIDTH: Final = 18 * style.GRID

_STRENGTH: Final = {
    True: ("Strength", "Where it breaks first, as computed: in report and work sheet"),
    False: ("Strength, once it is computed", "Compute it first, on the page Strength under To print"),
}
"""Words and tip of its box, by whether the strength of the hold as it is was computed."""


class OptionFields(QWidget):
    """Fields of `ExportOptions`.

    Signals
    -------
    changed
        Another wish was expressed.
    """

    changed = Signal()

    def __init__(self, options: ExportOptions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bed_box = CheckBox(
            "Back on the printer's bed", self, "In the middle of the bed, turned to fit; else as on the wall"
        )
        self.bed_box.setChecked(options.pose == "print")
        self.tabs_box = CheckBox(
            "Corner tabs", self, "Thin discs that hold the corners down, as parts of their own, to be cut off"
        )
        self.tabs_box.setChecked(options.tabs)
        self._brim = options.brim or USUAL_BRIM
        self.brim_box = CheckBox(
            "",
            self,
            "A thin rim on the bed that holds the edge down, to be cut off",
        )
        self.brim_box.setChecked(options.brim > 0.0)
        self.set_unit("mm")
        self.designer_line = self._line("Designer", "Who made it; said in the 3MF file", options.designer)
        self.licence_line = self._line("Licence", "Terms of use; said in the 3MF file", options.licence)
        lines = [self._labelled(line) for line in (self.designer_line, self.licence_line)]
        boxes = (self.bed_box, self.tabs_box, self.brim_box)
        self.sheet_fields = SheetFields(options.sheet, self)
        self.strength_box = CheckBox("", self)
        self.strength_box.setChecked(options.strength)
        self.set_strength(computed=False)
        column(*boxes, *lines, self.sheet_fields, self.strength_box, on=self, gap=style.GRID)
        self.sheet_fields.changed.connect(self.changed)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        for box in (*boxes, self.strength_box):
            box.toggled.connect(self.changed)
        for line in (self.designer_line, self.licence_line):
            line.textEdited.connect(self.changed)

    def set_unit(self, unit: Preferred) -> None:
        """Say lengths in another unit."""
        self.brim_box.setText(in_unit(f"Brim of {self._brim:g} mm", unit))

    def set_strength(self, *, computed: bool) -> None:
        """Offer the strength where it was computed of the hold as it is."""
        words, tip = _STRENGTH[computed]
        self.strength_box.setText(words)
        self.strength_box.setToolTip(tip)
        self.strength_box.setEnabled(computed)

    @property
    def options(self) -> ExportOptions:
        """What the fields say."""
        return ExportOptions(
            "print" if self.bed_box.isChecked() else "wall",
            self.tabs_box.isChecked(),
            self.designer_line.text().strip(),
            self.licence_line.text().strip(),
            self.sheet_fields.choice,
            brim=self._brim if self.brim_box.isChecked() else 0.0,
            strength=self.strength_box.isChecked(),
        )

    def _line(self, name: str, tip: str, text: str) -> PlainLine:
        line = PlainLine(self)
        line.setAccessibleName(name)
        line.setToolTip(tip)
        line.setMaxLength(200)
        line.setText(text)
        return line

    def _labelled(self, line: PlainLine) -> QHBoxLayout:
        label = TextLabel(line.accessibleName(), self)
        label.setFixedWidth(_LABEL_WIDTH)
        return row(label, (line, 1), gap=style.GRID)
