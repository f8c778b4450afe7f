"""Fields for the wall's panels and T-nuts."""

from functools import partial
from typing import Any

from PySide6.QtWidgets import QWidget

from holdwright.errors import HoldwrightError
from holdwright.gui.document.wall_work import WallWork
from holdwright.gui.form.choice_editors import SwitchEditor
from holdwright.gui.form.editor import Editor
from holdwright.gui.form.field import FormField
from holdwright.gui.form.figure_editors import FigureEditor
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import clear, column
from holdwright.gui.widgets.number_format import Preferred, scale_of
from holdwright.parameters.describe import FieldDescription, describe
from holdwright.parameters.kinds import Parameters


class GridFields(QWidget):
    """Shows panels and T-nuts as the wall has them, and changes that; each change can be undone.

    Attributes
    ----------
    fields
        By part of the wall and name, as ("panels", "width").
    """

    def __init__(self, work: WallWork, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._work = work
        self._steps = 0
        self.fields: dict[tuple[str, str], FormField] = {}
        self._column = column(on=self, margins=(0, style.GRID, 0, style.GAP), gap=style.GRID)
        self.setAccessibleName("Panels and T-nuts")
        self.set_unit("mm")

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        clear(self._column)
        self.fields = {}
        for part in ("panels", "t_nuts"):
            for description in describe(type(getattr(self._work.wall, part))):
                self._column.addWidget(self._field(part, description, unit))
        self.refresh()

    def refresh(self) -> None:
        """Show what the wall has."""
        plan = self._work.plan
        self.setEnabled(plan is not None)
        wall = plan.wall if plan is not None else self._work.wall
        for (part, name), field in self.fields.items():
            field.show_value(getattr(getattr(wall, part), name))

    def _field(self, part: str, description: FieldDescription, unit: Preferred) -> FormField:
        editor: Editor
        if description.kind == "switch":
            editor = SwitchEditor(description, self)
        else:
            editor = FigureEditor(description, scale_of(description, unit), self)
        name = description.name
        field = self.fields[part, name] = FormField(description, editor, unit)
        editor.requested.connect(partial(self._put, part, name))
        editor.moved.connect(partial(self._put, part, name, moving=True))
        editor.settled.connect(self._settle)
        field.default_requested.connect(partial(self._put, part, name, description.default))
        return field

    def _settle(self) -> None:
        self._steps += 1

    def _put(self, part: str, name: str, value: Any, *, moving: bool = False) -> None:
        """Change the wall, or say beneath the field why not and show it as it was."""
        plan, field = self._work.plan, self.fields[part, name]
        if plan is None:
            return
        parts: dict[str, Any] = {"panels": plan.wall.panels, "t_nuts": plan.wall.t_nuts}
        before: Parameters = parts[part]
        parts[part] = before.model_copy(update={name: value})
        tag = f"{part}.{name} {self._steps}" if moving else ""
        try:
            off = plan.change_grid(parts["panels"], parts["t_nuts"], tag)
        except HoldwrightError as error:
            field.refuse(str(error))
            field.show_value(getattr(before, name))
            return
        field.accept()
        self._work.changed.emit()
        if off:
            told = ", ".join(off[:5]) + (f" and {len(off) - 5} more" if len(off) > 5 else "")
            self._work.said.emit(
                f"Taken off, as the T-nut is no longer there: {told}. Undo hangs them again."
            )
