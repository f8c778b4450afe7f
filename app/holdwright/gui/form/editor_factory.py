"""Makes the editor of a parameter's kind."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any, Final

from PySide6.QtWidgets import QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.document.document import Document
from holdwright.gui.form.choice_editors import (
    ListEditor,
    ListEntry,
    SwitchEditor,
    TextEditor,
    WordsEditor,
    word_width,
)
from holdwright.gui.form.editor import Editor
from holdwright.gui.form.figure_editors import (
    FigureEditor,
    OptionalFigureEditor,
    PositionEditor,
    ShareEditor,
)
from holdwright.gui.form.names_editor import NamesEditor
from holdwright.gui.form.picks_editor import PicksEditor
from holdwright.gui.form.unit_editor import UnitEditor
from holdwright.gui.widgets.number_format import Preferred, scale_of
from holdwright.parameters.describe import FieldDescription, value_text

BESIDE: Final = 21
"""Room for an editor beside its label, in letters of usual width."""

BENEATH: Final = 38
"""Room for an editor beneath its label, in letters of usual width."""

ZERO: Final[Mapping[tuple[str, str], str]] = {
    ("scale_to_envelope", "box_x"): "free",
    ("scale_to_envelope", "box_y"): "free",
    ("scale_to_envelope", "box_z"): "free",
    ("scale_to_envelope", "detail"): "all",
    ("split_core", "collar_diameter"): "chosen",
    ("split_core", "wall_diameter"): "chosen",
    ("split_core", "top_diameter"): "chosen",
}
"""Words for zero, by operation and field."""

NONE: Final = "from the tables"
"""Word for no figure, of an optional one."""

NO_ROW: Final[Mapping[tuple[str, str], str]] = {
    ("joint", "strength"): "8.8, or grade 5",
    ("joint", "t_nut"): "first with its thread",
}
"""Words for no row of a table where that is not "none"."""


@dataclass(frozen=True)
class EditorFactory:
    """All that editors are built with."""

    operation: str
    """Name of the step's operation."""
    catalogue: Catalogue
    """Tables that rows are chosen from."""
    unit: Preferred
    """Unit lengths are shown in."""
    document: Document
    """Editors of the sculpt's pieces and of its unit ask it of them."""

    def editor(self, field: FieldDescription, parent: QWidget) -> Editor:
        """Make the editor of one parameter."""
        scale = replace(scale_of(field, self.unit), zero=ZERO.get((self.operation, field.name), ""))
        optional = replace(scale, zero=NONE, word_at=-1.0)
        if (self.operation, field.name) == ("import_sculpt", "unit"):
            return UnitEditor(field, self.document, self.unit, parent)
        table = getattr(self.catalogue, field.rows or "", ())
        makers: dict[str, Callable[[], Editor]] = {
            "switch": lambda: SwitchEditor(field, parent),
            "text": lambda: TextEditor(field, parent),
            "choice": lambda: _choice(field, parent),
            "names": lambda: NamesEditor(field, self.document.pieces, self.unit, parent),
            "row": lambda: ListEditor(
                field, row_groups(self.catalogue, table, self._none(field)), wide=True, parent=parent
            ),
            "share": lambda: ShareEditor(field, scale, parent),
            "position": lambda: PositionEditor(field, scale, parent),
            "pick": lambda: PicksEditor(field, scale, parent),
            "picks": lambda: PicksEditor(field, scale, parent),
        }
        if field.optional:
            return makers.get(field.kind, lambda: OptionalFigureEditor(field, optional, parent))()
        return makers.get(field.kind, lambda: FigureEditor(field, scale, parent))()

    def _none(self, field: FieldDescription) -> str:
        return NO_ROW.get((self.operation, field.name), "none") if field.optional else ""


def row_groups(catalogue: Catalogue, rows: Sequence[Any], none: str = "") -> list[list[ListEntry]]:
    """List rows of a table by thread, in the order of the bolts; first the word for no row, if any."""
    threads = list(dict.fromkeys(_thread(row) for row in (*catalogue.screws, *rows)))
    rows = sorted(rows, key=lambda row: threads.index(_thread(row)))
    groups = [
        [ListEntry(row.name, row.name, f"{row.name}\nSource: {row.source}") for row in group]
        for _, group in groupby(rows, key=_thread)
    ]
    return [[ListEntry(None, none)], *groups] if none else groups


def _thread(row: Any) -> str:
    """Give the thread a row is for; blank for rows of no metric or inch thread, such as wood screws."""
    return getattr(row, "thread", "")


def _choice(field: FieldDescription, parent: QWidget) -> Editor:
    width = sum(word_width(value_text(field, choice), parent.font()) for choice in field.choices)
    letters = width / parent.fontMetrics().averageCharWidth()
    if letters <= BENEATH:
        return WordsEditor(field, wide=letters > BESIDE, parent=parent)
    entries = [ListEntry(choice, value_text(field, choice)) for choice in field.choices]
    return ListEditor(field, [entries], wide=False, parent=parent)
