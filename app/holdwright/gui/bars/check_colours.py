"""Colours the finished hold by what a check of the print found over its surface."""

from PySide6.QtCore import QObject

from holdwright.gui.bars.actions import Actions
from holdwright.gui.bars.value_read_out import ValueReadOut
from holdwright.gui.bars.view_bar import ViewBar
from holdwright.gui.document.check_map import CheckMap
from holdwright.gui.document.document import Document
from holdwright.gui.handles.step_presenter import StepPresenter
from holdwright.gui.viewport.viewport import Viewport
from holdwright.hold.hold import CORE
from holdwright.pipeline.replaying.print_checks import CheckRow
from holdwright.printing.print_parameters import PrintParameters


class CheckColours(QObject):
    """Shows the place and the map of the check that is looked at, until another or none is.

    Parameters
    ----------
    maps
        Makes the maps.
    """

    def __init__(
        self,
        document: Document,
        viewport: Viewport,
        view_bar: ViewBar,
        actions: Actions,
        stage: StepPresenter,
        maps: CheckMap,
    ) -> None:
        super().__init__(viewport)
        self._document, self._viewport, self._view_bar = document, viewport, view_bar
        self._heat, self._stage, self._maps = actions["heat"], stage, maps
        self._row: CheckRow | None = None
        self._parts_before: frozenset[str] | None = None
        self._pose_before = self._pose_there = viewport.pose
        self._words = ValueReadOut(viewport, "check", lambda: self._row is not None, self)
        maps.ready.connect(self._colour)
        stage.shown_changed.connect(self._colour)
        view_bar.parts_changed.connect(self._colour)

    def show_check(self, row: CheckRow | None) -> None:
        """Look at a check, or at none any more."""
        if row is None and self._row is None:
            return
        first = self._row is None
        self._clear()
        self._row = row
        if row is None:
            # Who has turned the hold meanwhile keeps the view of it.
            if self._viewport.heading.looks_like(self._pose_there):
                self._viewport.set_pose(self._pose_before)
            return
        self._heat.setChecked(False)
        self._document.edits.select(PrintParameters.name)
        if first:
            self._pose_before = self._viewport.heading
        placed = next((each for each in row.findings if each.where is not None), None)
        if placed is not None:
            self._stage.go_to(PrintParameters.name, placed)
        elif row.place is not None:
            self._viewport.focus_on(row.place)
        self._pose_there = self._viewport.heading
        self._colour()

    def _colour(self) -> None:
        """Colour the core where it is shown alone or has the only map, else the shell or the whole hold."""
        row, shown = self._row, self._stage.shown
        if row is None or shown is None:
            return
        fields = self._maps.fields(row.code)
        if not fields or not set(fields) <= set(shown.solids):
            self._viewport.clear_colour_map()
            return
        if set(fields) == {CORE} and self._parts_before is None:
            self._parts_before = self._view_bar.parts
            self._view_bar.show_parts(frozenset({CORE}))
        alone = CORE in fields and self._view_bar.parts == {CORE}
        field = fields[CORE if alone else next((name for name in fields if name != CORE), CORE)]
        self._viewport.seen_through = False
        self._viewport.set_colour_map(field.values, field.low, field.high, field.limit, row.title, field.unit)

    def _clear(self) -> None:
        if self._row is None:
            return
        self._row = None
        self._words.clear()
        self._stage.drop_sought()
        self._viewport.clear_colour_map()
        if self._parts_before is not None:
            before, self._parts_before = self._parts_before, None
            self._view_bar.show_parts(before)
