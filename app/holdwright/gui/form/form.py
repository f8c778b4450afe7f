"""The form of one step, opened in place beneath its row."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any, Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import CatalogueError, RecipeError
from holdwright.gui.document.document import Document
from holdwright.gui.form.editor_factory import EditorFactory
from holdwright.gui.form.field import FormField
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import SwatchLabel, TextLabel, column
from holdwright.gui.widgets.number_format import Preferred
from holdwright.parameters.describe import FieldDescription, describe, is_relevant
from holdwright.parameters.kinds import Parameters
from holdwright.pipeline.parameter_reading import UnknownParameters, read_parameters
from holdwright.pipeline.recipes.recipe import Step

MAIN: Final[Mapping[str, tuple[str, ...]]] = {
    "import_sculpt": ("unit", "ground_block", "loose_pieces", "leave_out"),
    "orient_to_base": ("by", "rank", "face", "points", "plane", "flip", "turn"),
    "scale_to_envelope": ("rule", "diameter", "box_x", "box_y", "box_z", "length", "factor"),
    "trim_base": ("by", "share", "height", "rim"),
    "chamfer_tips": ("tips", "limit", "picks", "leave_out", "width"),
    "cut_bore": ("screw", "washer", "place", "at", "seat", "under_seat", "depth"),
    "cut_screw_hole": ("screw", "place", "at", "tilt", "toward", "under_head", "at_most"),
    "relieve_back": ("depth", "land", "bore_land", "rib_spacing"),
    "engrave_back": ("text", "revision", "date", "size", "arrow", "height", "depth", "place", "at"),
    "joint": ("torque", "material", "panel", "mass", "factor", "overhang", "mounting"),
    "split_core": ("along", "at", "height", "wall_diameter", "top_diameter", "least_shell"),
}
"""Fields shown at once, by operation; the others stand beneath "More". An operation not listed shows all."""

GROUPS: Final[Mapping[str, Mapping[str, Mapping[str, str]]]] = {
    "print": {
        "Printer and layers": dict.fromkeys(
            ("machine", "nozzle", "line_width", "layer_height", "passes", "top_layers", "bottom_layers"), ""
        ),
        "Shell": {"shell_material": "Material", "shell_infill": "Infill", "shell_price": "Price a kg"},
        "Core": {"core_material": "Material", "core_infill": "Infill", "core_price": "Price a kg"},
        "Filament": {"filament": "Diameter"},
        "For the strength": {"infill_pattern": "Infill pattern", "print_direction": "Printed"},
    },
}
"""Headings and the fields beneath each, with a shorter title where the heading says the rest of it."""


class Form(QWidget):
    """Shows a step's parameters as the recipe has them, and puts into the recipe what a user enters.

    So it does with the recipe's sections, as if these were steps.

    Parameters
    ----------
    open_more
        Whether the lesser fields are shown from the start.

    Signals
    -------
    pick_requested
        A place is to be picked in the view: the step's id and the field's name.
    more_shown
        Whether the lesser fields are shown.
    """

    pick_requested = Signal(str, str)
    more_shown = Signal(bool)

    def __init__(
        self,
        document: Document,
        step_id: str,
        catalogue: Catalogue,
        unit: Preferred = "mm",
        *,
        open_more: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._step_id = step_id
        step = document.recipe.step(step_id)
        self._kind: type[Parameters] = type(step.parameters)
        self.fields: dict[str, FormField] = {}
        self._main = MAIN.get(step.operation)
        self._column = column(on=self, margins=(0, style.GAP, 0, style.GAP), gap=style.GAP)
        self._open_more = open_more
        icon, clicked = "chevron-right", self._toggle_more
        self.more_button = QuietButton("More", self, icon_name=icon, clicked=clicked)
        self._lesser: list[FieldDescription] = []
        # A countersunk head goes without; on the way through the list to another the washer comes back.
        self._laid_aside: str | None = None
        self._making = EditorFactory(step.operation, catalogue, unit, document)
        self._build(self._making)
        document.recipe_changed.connect(self.refresh)
        document.sculpt_shown.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show what the recipe holds; says nothing and takes the keyboard from nobody."""
        step = self._step()
        if step is None or not self.fields:
            return
        for name, field in self.fields.items():
            field.show_value(getattr(step.parameters, name))
        self._show_relevant(step)

    def keyboard_path(self) -> list[QWidget]:
        """Give all that takes the keyboard, from top to bottom."""
        items = [self._column.itemAt(place) for place in range(self._column.count())]
        parts = [part for item in items if item is not None and (part := item.widget()) is not None]
        return [each for part in parts for each in (part, *part.findChildren(QWidget)) if _takes_tab(each)]

    def close_down(self) -> None:
        """Hear of the document no longer: the form is about to go."""
        self._document.recipe_changed.disconnect(self.refresh)
        self._document.sculpt_shown.disconnect(self.refresh)
        for field in self.fields.values():
            field.editor.close_down()

    def _build(self, making: EditorFactory) -> None:
        if issubclass(self._kind, UnknownParameters):
            unknown = "This version does not know this step; its values are kept unchanged."
            self._column.addWidget(TextLabel(unknown, self, wrap=True))
            self.more_button.hide()
            return
        descriptions = describe(self._kind)
        if making.operation in GROUPS:
            self._build_groups(GROUPS[making.operation], descriptions, making)
            return
        self._lesser = [each for each in descriptions if not self._is_main(each)]
        for description in descriptions:
            if self._is_main(description):
                self._column.addWidget(self._field(description, making))
        self._column.addWidget(self.more_button, 0, Qt.AlignmentFlag.AlignLeft)
        if self._open_more:
            self._build_lesser()

    def _build_lesser(self) -> None:
        """Make the lesser fields, once they are first looked at: a step opens sooner without them."""
        made = [self._field(each, self._making) for each in self._lesser if each.name not in self.fields]
        for field in made:
            self._column.addWidget(field)
        if made:
            for before, after in pairwise(self.keyboard_path()):
                QWidget.setTabOrder(before, after)

    def _build_groups(
        self,
        groups: Mapping[str, Mapping[str, str]],
        descriptions: Sequence[FieldDescription],
        making: EditorFactory,
    ) -> None:
        by_name = {description.name: description for description in descriptions}
        for heading, titles in groups.items():
            if self._column.count() > 1:
                self._column.addSpacing(style.GAP)
            self._column.addWidget(SwatchLabel(heading, self))
            for name, title in titles.items():
                self._column.addWidget(self._field(by_name[name], making, title))
        self.more_button.hide()

    def _field(self, description: FieldDescription, making: EditorFactory, title: str = "") -> FormField:
        """Make a field; its editor goes by its full title."""
        name = description.name
        label = replace(description, title=title or description.title)
        field = FormField(label, making.editor(description, self), making.unit)
        field.setParent(self)
        self.fields[name] = field
        editor = field.editor
        editor.requested.connect(lambda value: self._put(name, value))
        editor.moved.connect(lambda value: self._put(name, value, moving=True))
        editor.settled.connect(lambda: self._document.edits.settle(self._tag(name)))
        editor.pick_requested.connect(lambda: self.pick_requested.emit(self._step_id, name))
        field.default_requested.connect(lambda: self._put(name, description.default))
        return field

    def _put(self, name: str, value: Any, *, moving: bool = False) -> None:
        """Put a value into the recipe, or say why not and show it as it was."""
        step = self._step()
        if step is None:
            return
        changes = {name: value, **self._following(step, name, value)}
        values = {**step.parameters.model_dump(), **changes}
        _, problems = read_parameters(self._kind, values)
        field = self.fields[name]
        if problems:
            field.refuse(f"{field.description.title} {'; '.join(what for _, what in problems)}.")
            field.show_value(getattr(step.parameters, name))
            return
        field.accept()
        self._document.edits.edit(self._step_id, changes, self._tag(name) if moving else "")

    def _following(self, step: Step, name: str, value: Any) -> dict[str, Any]:
        """Give what goes with a value: a bolt would be refused with the old one's washer."""
        if name != "screw" or "washer" not in self.fields:
            return {}
        catalogue, old = self._making.catalogue, getattr(step.parameters, "washer", None)
        try:
            if old is None and catalogue.screw(getattr(step.parameters, name)).head.angle is not None:
                old = self._laid_aside
            washer = catalogue.washer_with(catalogue.screw(value), catalogue.washer(old) if old else None)
        except CatalogueError:  # a row that was taken from the tables: the step says so
            return {}
        self._laid_aside = None if washer else old
        return {"washer": washer.name if washer else None}

    def _show_relevant(self, step: Step) -> None:
        for field in self.fields.values():
            shown = self._open_more or self._is_main(field.description)
            field.setVisible(shown and is_relevant(field.description, step.parameters))
        more = [each for each in self._lesser if is_relevant(each, step.parameters)]
        changed = sum(getattr(step.parameters, each.name) != each.default for each in more)
        self.more_button.setVisible(bool(more))
        words = "Less" if self._open_more else f"More ({changed} changed)" if changed else "More"
        icon = "chevron-down" if self._open_more else "chevron-right"
        self.more_button.set_words(words, icon_name=icon)

    def _toggle_more(self) -> None:
        self._open_more = not self._open_more
        if self._open_more:
            self._build_lesser()
        self.more_shown.emit(self._open_more)
        self.refresh()

    def _is_main(self, description: FieldDescription) -> bool:
        return self._main is None or description.name in self._main

    def _tag(self, name: str) -> str:
        return f"{self._step_id}.{name}"

    def _step(self) -> Step | None:
        """Give the step, while the recipe has it as it was."""
        try:
            step = self._document.recipe.step(self._step_id)
        except RecipeError:
            return None
        return step if type(step.parameters) is self._kind else None


def _takes_tab(widget: QWidget) -> bool:
    """Tell whether the keyboard stops at a widget; not at what stands for another, nor in a list's popup."""
    takes = bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
    return takes and widget.focusProxy() is None and widget.window().windowType() != Qt.WindowType.Popup
