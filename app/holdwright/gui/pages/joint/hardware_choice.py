"""Another bolt or washer, tried on the card before the hold is bored for it."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.catalogue.fasteners import Screw, Washer
from holdwright.gui.form.choice_editors import ListEditor
from holdwright.gui.form.editor_factory import row_groups
from holdwright.gui.widgets import style
from holdwright.joint.conditions import Conditions
from holdwright.parameters.describe import FieldDescription

_OTHER: Final = "Another {} to try; the hold stays as it is bored."


class HardwareChoice(QWidget):
    """Each choice holds from the moment it is made.

    Attributes
    ----------
    hardware
        Screw and washer that are chosen; None before it is known what the hold was bored for.

    Signals
    -------
    changed
        Another was chosen.
    """

    changed = Signal()

    def __init__(self, catalogue: Catalogue, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._catalogue = catalogue
        self._bored: tuple[Screw, Washer | None] | None = None
        self.hardware: tuple[Screw, Washer | None] | None = None
        self.editors: dict[str, ListEditor] = {}
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(style.GAP)
        self._grid.setVerticalSpacing(style.GRID)
        self._grid.setColumnStretch(1, 1)
        self._add("screw", "Try bolt", "bolt", catalogue.screws)
        self._add("washer", "Try washer", "washer", catalogue.washers, none="none")
        self._show()

    @property
    def is_tried(self) -> bool:
        """Whether another screw or washer is tried than the hold was bored for."""
        return self.hardware is not None and self.hardware != self._bored

    @property
    def tried_words(self) -> str:
        """Say what is tried in place of what the hold was bored for; blank while nothing is."""
        if self.hardware is None or not self.is_tried:
            return ""
        screw, washer = self.hardware
        return f"Tried: {screw.name}, {washer.name if washer else 'no washer'}. The recipe has another."

    def end_trial(self) -> None:
        """Go back to what the hold was bored for."""
        if self.is_tried:
            self.hardware = self._bored
            self._show()

    def tried_in(self, conditions: Conditions) -> Conditions:
        """Give conditions with what is tried in place of what the hold was bored for."""
        if self.hardware is None or self._bored is None or not self.is_tried:
            return conditions
        screw, washer = self.hardware
        return replace(
            conditions,
            screw=screw if screw != self._bored[0] else None,
            washer=washer if washer != self._bored[1] else None,
            bare=washer is None,
        )

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
        """Choose a `screw` or a `washer`, as rows."""
        if self.hardware is None:
            return
        screw, washer = values.get("screw", self.hardware[0]), values.get("washer", self.hardware[1])
        self.hardware = (
            screw,
            washer if screw == self.hardware[0] else self._catalogue.washer_with(screw, washer),
        )
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        for editor in self.editors.values():
            editor.setEnabled(self.hardware is not None)
        if self.hardware is not None:
            screw, washer = self.hardware
            self.editors["screw"].show_value(screw.name)
            self.editors["washer"].show_value(washer.name if washer else None)

    def _add(self, name: str, title: str, what: str, rows: Sequence[Any], none: str = "") -> None:
        by_name, field = (
            {row.name: row for row in rows},
            FieldDescription(name, "row", title, _OTHER.format(what)),
        )
        editor = ListEditor(field, row_groups(self._catalogue, rows, none), wide=False, parent=self)
        editor.requested.connect(lambda value: self.choose(**{name: by_name.get(value)}))
        label = QLabel(title, self)
        label.setToolTip(field.description)
        label.setBuddy(editor.keyboard_widget())
        editor.keyboard_widget().setAccessibleDescription(field.description)
        self.editors[name] = editor
        row = self._grid.rowCount()
        self._grid.addWidget(label, row, 0, Qt.AlignmentFlag.AlignVCenter)
        self._grid.addWidget(editor, row, 1)
