"""What a joint is to be reckoned for: how tight, into what, who hangs on it, and with which bolt."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, Final

from PySide6.QtCore import QSettings, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.catalogue.fasteners import Screw, Washer
from holdwright.errors import HoldwrightError
from holdwright.gui.form.choice_editors import ListEditor
from holdwright.gui.form.editor import Editor
from holdwright.gui.form.editor_factory import row_groups
from holdwright.gui.form.figure_editors import FigureEditor
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Scale
from holdwright.joint.conditions import Conditions, conditions
from holdwright.parameters.describe import FieldDescription

_TIMES: Final = "How many times the climber's weight acts: 1 hanging still, more in a hard pull or a jump."
_LEAN: Final = "How far the wall leans over: 0 is upright, 90 a roof."
_OTHER: Final = "Another {} to try; the hold stays as it is bored."


def _field(
    name: str, title: str, description: str, most: float, *, kind: str = "number", unit: str = ""
) -> FieldDescription:
    return FieldDescription(name, kind, title, description, unit, 0.0, most, minimum_open=kind == "number")


_FIGURES: Final = {
    field.name: (field, scale)
    for field, scale in (
        (_field("torque", "Torque, N m", "How hard the bolt is tightened.", 200.0), Scale(decimals=1)),
        (_field("mass", "Climber", "Mass of the climber in kg.", 500.0), Scale(1.0, " kg", 1, 5.0)),
        (_field("factor", "Load factor", _TIMES, 20.0), Scale(decimals=2, step=0.5)),
        (_field("overhang", "Wall leans", _LEAN, 90.0, kind="angle", unit="deg"), Scale(1.0, "°", 1, 5.0)),
    )
}
"""Figures of `Conditions` that can be chosen."""


_ROWS: Final = {"panel": "panels", "material": "materials"}


class LastConditions:
    """Figures and names of rows as chosen last, in the settings; what makes no sense there is not stored.

    A maker's wall and material seldom change from hold to hold.
    """

    def __init__(self, settings: QSettings, catalogue: Catalogue) -> None:
        self._settings = settings
        self._catalogue = catalogue

    def read(self) -> Conditions:
        """Read the stored conditions, the usual ones before any were."""
        found = conditions(self._catalogue)
        for name in (*_FIGURES, *_ROWS):
            value = self._value(name)
            if value is not None:
                try:
                    found = replace(found, **{name: value})
                except HoldwrightError:
                    # Some other program's figure: the usual one stands.
                    continue
        return found

    def store(self, chosen: Conditions) -> None:
        """Store conditions; hardware is the recipe's."""
        for name in (*_FIGURES, *_ROWS):
            value = getattr(chosen, name)
            self._settings.setValue(f"joint_{name}", getattr(value, "name", value))

    def _value(self, name: str) -> Any:
        text = str(self._settings.value(f"joint_{name}", ""))
        if name in _ROWS:
            rows = getattr(self._catalogue, _ROWS[name])
            return next((row for row in rows if row.name == text), None)
        try:
            return float(text)
        except ValueError:
            return None


class JointChoices(QWidget):
    """Each holds from the moment it is chosen.

    Parameters
    ----------
    last
        What was chosen last.

    Attributes
    ----------
    hardware
        Screw and washer that are chosen; None before it is known what the hold was bored for.

    Signals
    -------
    changed
        Something else was chosen.
    refused
        Why what was typed cannot be, in words.
    """

    changed = Signal()
    refused = Signal(str)

    def __init__(self, catalogue: Catalogue, last: LastConditions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._catalogue = catalogue
        self._last = last
        self._conditions = last.read()
        self._bored: tuple[Screw, Washer | None] | None = None
        self.hardware: tuple[Screw, Washer | None] | None = None
        self.editors: dict[str, Editor] = {}
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(style.GAP)
        self._grid.setVerticalSpacing(style.GRID)
        self._grid.setColumnStretch(1, 1)
        self._figure("torque")
        self._rows("panel", "Panel", "What the hold is bolted to.", catalogue.panels)
        # Only what has a row of creep can be reckoned.
        bearing = [row for row in catalogue.materials if row.allowable_sustained is not None]
        self._rows("material", "Material", "What the hold is printed in.", bearing)
        for name in ("mass", "factor", "overhang"):
            self._figure(name)
        self._rows("screw", "Bolt", _OTHER.format("bolt"), catalogue.screws)
        self._rows("washer", "Washer", _OTHER.format("washer"), catalogue.washers, optional=True)
        self._show()

    @property
    def conditions(self) -> Conditions:
        """What is chosen, with other hardware only where it is not what the hold was bored for."""
        if self.hardware is None or self._bored is None or not self.is_tried:
            return self._conditions
        screw, washer = self.hardware
        return replace(
            self._conditions,
            screw=screw if screw != self._bored[0] else None,
            washer=washer if washer != self._bored[1] else None,
            bare=washer is None,
        )

    @property
    def is_tried(self) -> bool:
        """Whether another screw or washer is tried than the hold was bored for."""
        return self.hardware is not None and self.hardware != self._bored

    def use_hardware(self, screw: str, washer: str | None) -> None:
        """Choose what a hold is bored for, by names of the tables, in place of what is tried.

        Raises
        ------
        CatalogueError
            When the tables have no such row.
        """
        found = self._catalogue.screw(screw), None if washer is None else self._catalogue.washer(washer)
        if found != self._bored:
            self._bored = self.hardware = found
            self._show()

    def choose(self, **values: Any) -> None:
        """Choose figures and rows of `Conditions`, `screw` or `washer`."""
        if self.hardware is not None:
            screw = values.pop("screw", self.hardware[0])
            washer = values.pop("washer", self.hardware[1])
            self.hardware = screw, washer if screw == self.hardware[0] else self._washer_for(screw, washer)
        self._conditions = replace(self._conditions, **values)
        self._last.store(self._conditions)
        self._show()
        self.changed.emit()

    def _washer_for(self, screw: Screw, washer: Washer | None) -> Washer | None:
        """Give the washer that goes with another screw: of the same standard where there is one."""
        if washer is None or screw.head.angle is not None:
            return None
        fitting = [row for row in self._catalogue.washers if row.thread == screw.thread]
        alike = [row for row in fitting if row.standard == washer.standard]
        return next(iter([*alike, *fitting]), None)

    def _show(self) -> None:
        for name in (*_FIGURES, *_ROWS):
            value = getattr(self._conditions, name)
            self.editors[name].show_value(getattr(value, "name", value))
        known = self.hardware is not None
        for name in ("screw", "washer"):
            self.editors[name].setEnabled(known)
        if self.hardware is not None:
            screw, washer = self.hardware
            self.editors["screw"].show_value(screw.name)
            self.editors["washer"].show_value(washer.name if washer else None)

    def _figure(self, name: str) -> None:
        editor = FigureEditor(*_FIGURES[name], self)
        editor.moved.connect(lambda value: self.choose(**{name: value}))
        self._add(editor, lambda value: self.choose(**{name: value}))

    def _rows(
        self, name: str, title: str, description: str, rows: Sequence[Any], *, optional: bool = False
    ) -> None:
        by_name = {row.name: row for row in rows}
        groups = row_groups(self._catalogue, rows, optional=optional)
        editor = ListEditor(
            FieldDescription(name, "row", title, description), groups, wide=False, parent=self
        )
        self._add(editor, lambda value: self.choose(**{name: by_name.get(value)}))

    def _add(self, editor: Editor, chosen: Callable[[Any], None]) -> None:
        field, row = editor.field, self._grid.rowCount()
        label = QLabel(field.title, self)
        label.setToolTip(field.description)
        label.setBuddy(editor.keyboard_widget())
        editor.keyboard_widget().setAccessibleDescription(field.description)
        editor.requested.connect(chosen)
        editor.refused.connect(self.refused)
        self.editors[field.name] = editor
        self._grid.addWidget(label, row, 0, Qt.AlignmentFlag.AlignVCenter)
        self._grid.addWidget(editor, row, 1)
