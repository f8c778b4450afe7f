"""Puts the step that is worked on into the view: its solids, its flags, and the tool to work with."""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np
from PySide6.QtCore import QObject, QTimer, Signal

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.document.document import Document
from holdwright.gui.handles.camera_rests import keeps_view
from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.handles.lost_pieces import LostPieces
from holdwright.gui.handles.step_solids import last_with_solids
from holdwright.gui.viewport.tool import Tool
from holdwright.gui.viewport.view_camera import clear_view
from holdwright.gui.viewport.viewport import Viewport
from holdwright.hold.finding import Finding
from holdwright.pipeline.views.display_results import ShownSculpt, ShownStep, Surface
from holdwright.printable import printable

GHOST: Final = 0.3
"""Opacity of a piece that is gone."""


def placed(sculpt: ShownSculpt, placement: Floats) -> ShownSculpt:
    """Give a raw sculpt as it lies in another frame; the same one where that is its own."""
    if np.array_equal(placement, np.eye(4)):
        return sculpt
    linear, shift = placement[:3, :3].astype(np.float32), placement[:3, 3].astype(np.float32)
    pieces = tuple(
        (name, Surface(surface.vertices @ linear.T + shift, surface.triangles))
        for name, surface in sculpt.pieces
    )
    return replace(sculpt, pieces=pieces)


class StepPresenter(QObject):
    """Keeps the view in step with the document.

    Parameters
    ----------
    make_tool
        Called with operation and id whenever another step is worked on; gives its tool, or None.
    """

    shown_changed = Signal()
    """Another result is in the view."""
    raw_changed = Signal(bool)
    """Whether the sculpt as it came is in the view."""
    cut_requested = Signal(object)
    """The section is to go through (3,) a place, mm."""

    def __init__(
        self, document: Document, viewport: Viewport, make_tool: Callable[[str, str], Tool[Viewport] | None]
    ) -> None:
        super().__init__(viewport)
        self._borrowed: Tool[Viewport] | None = None
        self._flagged: list[tuple[str, Finding, Finding]] = []
        self._sought: tuple[str, Finding] | None = None
        self._told: tuple[str, Finding] | None = None
        self._looked_at = ""
        self._document = document
        self._viewport = viewport
        self._ghosts, self._lost = GhostPainter(viewport, "lost"), LostPieces(document)
        self._make_tool = make_tool
        self._shown: ShownStep | None = None
        self._tool_step = ""
        self._raw: ShownSculpt | None = None
        self._raw_requested = False
        self._placed: tuple[ShownSculpt, Floats, ShownSculpt] | None = None
        document.opened.connect(self._clear)
        # Results that come at once are shown as one, in a turn of events of its own: the window stays quick.
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self.refresh)
        document.selected_changed.connect(self._take_selected)
        document.recipe_changed.connect(self.drop_sought)
        viewport.dismissed.connect(self.drop_sought)
        viewport.scheme_changed.connect(self._draw_lost)
        document.step_shown.connect(self._take_step)
        document.print_checked.connect(self._soon.start)
        document.busy_changed.connect(self._take_busy)
        document.sculpt_shown.connect(self._soon.start)
        document.reported.connect(self._say)

    @property
    def shown(self) -> ShownStep | None:
        """The step whose solids are in the view."""
        return self._shown

    def refresh(self) -> None:
        """Show the step worked on; where it has given nothing yet, the nearest before it that has."""
        step, sculpt = self._step_to_show(), self._document.sculpt
        if step is not None:
            self._show(step)
            if self._raw_requested and sculpt is not None:
                self._show_raw(sculpt, step.placement, fresh=False)
        elif sculpt is not None:
            self._show_raw(sculpt, np.eye(4), fresh=True)
        self._take_up_tool()

    @property
    def raw(self) -> bool:
        """Whether the sculpt as it came is in the view."""
        return self._raw is not None

    def want_raw(self, shown: bool) -> None:
        """Show the sculpt as it came in place of what was made of it, looked at from the same side."""
        if shown != self._raw_requested:
            self._raw_requested = shown
            self.refresh()

    def look_at(self, step_id: str) -> None:
        """Show a step's result without opening the step, until one is chosen; blank for the chosen one's."""
        self._looked_at = step_id
        self.refresh()

    def go_to(self, step_id: str, finding: Finding) -> None:
        """Turn the view to the place of a finding, or to all of a piece that is gone; so goes the section."""
        if finding.where is None:
            return
        self._document.edits.select(step_id)
        self._sought = (step_id, finding)
        self._flag()
        moved = self._moved(step_id, finding)
        if moved is not None and moved.where is not None:
            if self._viewport.section is not None:
                self.cut_requested.emit(np.array(moved.where))
            lost = self._lost.piece(step_id, moved, self._shown) if self._shown else None
            self._viewport.focus_on(moved.where, lost[0][np.unique(lost[1])] if lost is not None else None)

    def drop_sought(self) -> None:
        """Show no longer what was gone to."""
        if self._sought is not None:
            self._sought = None
            self._viewport.seen_through = False
            self._flag()

    def choose_marker(self, number: int) -> None:
        """Turn to the finding whose flag was clicked."""
        if 0 <= number < len(self._flagged):
            self.go_to(*self._flagged[number][:2])

    def borrow(self, tool: Tool[Viewport]) -> None:
        """Put another tool in use in place of the step's."""
        self._borrowed = tool
        self._viewport.set_tool(tool)

    def give_back(self) -> None:
        """Take the step's own tool in use again."""
        if self._borrowed is not None:
            self._borrowed = None
            self._tool_step = ""
            self._take_up_tool()

    def renew_tool(self) -> None:
        """Make the step's tool anew: it was made for other preferences."""
        self._tool_step = ""
        self._take_up_tool()

    def _take_step(self, step_id: str) -> None:
        """Show a result; while the step on show is being made anew, nothing before it comes.

        Drawing takes the machine from the geometry process, and what comes before is not looked at.
        """
        if step_id == self._document.selected:
            self.refresh()
        elif self._shown is None or self._shown.id != self._document.selected:
            self._soon.start()

    def _take_busy(self, busy: bool) -> None:
        if not busy:
            self._say(1.0, "")
            self._soon.start()

    def _take_selected(self) -> None:
        self._looked_at = ""
        self.drop_sought()
        self.refresh()

    def _step_to_show(self) -> ShownStep | None:
        steps, selected = self._document.recipe.steps, self._looked_at or self._document.selected
        upto = next((number for number, step in enumerate(steps, 1) if step.id == selected), len(steps))
        return last_with_solids(self._document, steps[:upto])

    def _show(self, step: ShownStep) -> None:
        before = self._shown
        new = before is None or before.key != step.key
        if new or (self._raw is not None and not self._raw_requested):
            self._set_raw(None)
            self._shown = step
            keeps = keeps_view(before, step)
            if not keeps and self._borrowed is None and self._tool_step != self._document.selected:
                # Its handles stand in the frame of what was shown before: the view is not fitted to them.
                self._viewport.set_tool(None)
            self._viewport.show_solids(
                step.solids,
                keep_camera=keeps,
                view=self._clear_view(step),
                sized=step.sized,
            )
        if new:
            self.shown_changed.emit()
        self._flag()

    def _flag(self) -> None:
        flagged, before = self._to_flag(), (self._flagged, self._told)
        if (flagged, self._sought) != before:
            self._flagged, self._told = flagged, self._sought
            told = next((n for n, each in enumerate(flagged) if each[:2] == self._sought), -1)
            self._viewport.show_markers([moved for _, _, moved in flagged], told)
            self._draw_lost()

    def _draw_lost(self) -> None:
        """Draw the pieces that are gone."""
        self._ghosts.begin()
        for number, (step_id, _, moved) in enumerate(self._flagged):
            lost = self._lost.piece(step_id, moved, self._shown) if self._shown else None
            if lost is not None:
                self._ghosts.sheet(str(number), lost, GHOST, quiet=True)
        self._ghosts.end()

    def _show_raw(self, sculpt: ShownSculpt, placement: Floats, *, fresh: bool) -> None:
        """Show the raw sculpt where it lies in the frame of what is made of it; `fresh`: view fitted."""
        if sculpt is not self._raw:
            self._set_raw(sculpt)
            if self._placed is None or self._placed[0] is not sculpt or (self._placed[1] != placement).any():
                self._placed = (sculpt, placement, placed(sculpt, placement))
            faint = (
                set(sculpt.slabs) if fresh else set(self._left_out()) & {name for name, _ in sculpt.pieces}
            )
            self._viewport.show_sculpt(self._placed[2], "three_quarter" if fresh else "", faint)

    def _left_out(self) -> dict[str, Floats]:
        """Give the pieces of the sculpt left out, by name, with their middles (3,) in its own coordinates."""
        pieces = self._document.pieces
        left = [each for each in pieces.accounts if pieces.why_left(each)]
        return {each.name: (np.array(each.low) + each.high) / 2 for each in left}

    def _clear_view(self, step: ShownStep) -> str:
        """Choose from where to look so that no piece left out stands before the hold at its import."""
        steps, left = self._document.recipe.steps, self._left_out()
        if step.id != steps[0].id or not left or step.measures is None:
            return "three_quarter"
        middles = move_points(step.placement, np.array(list(left.values())))
        return clear_view(middles.mean(axis=0) - np.mean(step.measures.bounds_mm, axis=0))

    def _say(self, _fraction: float, text: str) -> None:
        """Let the view say what is done while there is nothing to see."""
        words = f"{text[:1].upper()}{text[1:]}"
        if self._shown is None and self._raw is None and words != self._viewport.waiting_text:
            self._viewport.waiting_text = words
            self._viewport.redraw()

    def _set_raw(self, sculpt: ShownSculpt | None) -> None:
        before, self._raw = self._raw, sculpt
        if (before is None) != (sculpt is None):
            self.raw_changed.emit(sculpt is not None)

    def _to_flag(self) -> list[tuple[str, Finding, Finding]]:
        """Give all that deserves a look up to the step shown: step, finding, and that in the frame shown."""
        ids = [step.id for step in self._document.recipe.steps]
        shown = ids.index(self._shown.id) if self._shown and self._shown.id in ids else -1
        flagged = []
        for step_id, finding in self._document.findings:
            moved, found_in = self._moved(step_id, finding), self._document.found_in(step_id)
            wanted = finding.severity != "note" or (step_id, finding) == self._sought
            if wanted and moved is not None and found_in is not None and ids.index(found_in.id) <= shown:
                flagged.append((step_id, finding, moved))
        return flagged

    def _moved(self, step_id: str, finding: Finding) -> Finding | None:
        """Give a finding with its place in the frame of what is shown; None where it has none there."""
        found_in = self._document.found_in(step_id)
        if finding.where is None or found_in is None or self._shown is None:
            return None
        return finding.moved(self._shown.placement @ np.linalg.inv(found_in.placement))

    def _take_up_tool(self) -> None:
        selected = self._document.selected
        if selected == self._tool_step or self._borrowed is not None:
            return
        self._tool_step = selected
        step = next((each for each in self._document.recipe.steps if each.id == selected), None)
        self._viewport.set_tool(self._make_tool(step.operation, step.id) if step else None)

    def _clear(self) -> None:
        self._shown = None
        self._set_raw(None)
        self._placed = None
        self._tool_step = ""
        self._borrowed = None
        self._soon.stop()
        self._flagged, self._sought, self._told = [], None, None
        self._viewport.set_tool(None)
        self._viewport.clear()
        path = self._document.sculpt_path
        self._say(0.0, f"Reading {printable(path.name)}" if path else "")
        self.shown_changed.emit()
