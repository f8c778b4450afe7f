"""The tool for a step: brings pointer and keys to the step's work, and ends a drag in one edit."""

from collections.abc import Callable
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.gui.handles.context import Bench
from holdwright.gui.handles.grip import Grip, grasp
from holdwright.gui.handles.step_handles import Work
from holdwright.gui.handles.step_solids import frames_of
from holdwright.gui.viewport.camera import Pose
from holdwright.gui.viewport.tool import Tool, ToolEvent
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets.palette import tones
from holdwright.parameters.describe import describe

STILL: Final = 4.0
"""Pixels a pressed pointer may stray and still click."""


class StepTool(Tool[Viewport]):
    """A tool bound to a step of the recipe.

    While a grip is dragged only ghosts move; on letting go the recipe is edited once, on Escape all is as it
    was. A press beside all grips that turns into a drag is the camera's.

    Parameters
    ----------
    kind
        Of the work.
    make_bench
        Makes the bench for it in a view.
    """

    name = "handles"

    def __init__(self, kind: type[Work[Any]], make_bench: Callable[[Viewport], Bench]) -> None:
        self.work: Work[Any]
        self._kind = kind
        self._make_bench = make_bench
        self._bench: Bench | None = None
        self._picking = ""
        self._pressed: tuple[float, float] | None = None
        self._drawn_from: Pose | None = None

    def start(self, viewport: Viewport) -> None:
        """Take up work in a view."""
        super().start(viewport)
        self._bench = self._make_bench(viewport)
        self.work = self._kind(self._bench)
        self._bench.document.recipe_changed.connect(self.refresh)
        self._bench.document.step_shown.connect(self._step_shown)
        for signal in self.work.heeds():
            signal.connect(self.refresh)
        self.refresh()

    def finish(self) -> None:
        """Put the work down and take away what was drawn."""
        bench, self._bench = self._bench, None
        if bench is None:
            return
        bench.document.recipe_changed.disconnect(self.refresh)
        bench.document.step_shown.disconnect(self._step_shown)
        for signal in self.work.heeds():
            signal.disconnect(self.refresh)
        self.work.look(None)
        bench.pencil.clear()
        self.viewport.unsetCursor()

    def refresh(self) -> None:
        """Read and draw anew; a drag that is under way goes on."""
        bench = self._bench
        if bench is None:
            return
        if bench.step is None:
            bench.pencil.clear()
            return
        bench.pencil.tones = tones(self.viewport)
        bench.frames = frames_of(bench.document, bench.step_id)
        if bench.held is None:
            self.work.state = self.work.read(bench.step)
        self._draw()

    def reaches(self, event: ToolEvent) -> bool:
        """Tell whether the pointer is on a grip."""
        bench = self._bench
        if bench is None or bench.step is None:
            return False
        return grasp(self.work.grips(), event.x, event.y, bench.lens) is not None

    def press(self, event: ToolEvent) -> bool:
        """Take a grip, or wait for a click where one means something."""
        bench, self._pressed = self._bench, None
        if bench is None or bench.step is None or event.button != Qt.MouseButton.LeftButton:
            return False
        bench.held = grasp(self.work.grips(), event.x, event.y, bench.lens)
        if bench.held is None:
            wanted = event.pick() is not None if self._picking else self.work.wants_click(event)
            self._pressed = (event.x, event.y) if wanted else None
            return wanted
        self.work.before, bench.hot = self.work.state, bench.dragged
        if bench.held.grip.cursor == Qt.CursorShape.OpenHandCursor:
            self.viewport.setCursor(Qt.CursorShape.ClosedHandCursor)
        self.work.begin(event)
        self._draw()
        return True

    def move(self, event: ToolEvent) -> bool:
        """Go on with a drag; a click that turns into one is the camera's."""
        if self._bench is not None and self._bench.held is not None:
            self.work.drag(self._bench.held.grip, event)
            self._draw()
            return True
        if self._pressed is not None and not self._is_still(event):
            self._pressed = None
            return False
        return True

    def release(self, event: ToolEvent) -> bool:
        """Let go: one edit of the recipe where something was changed."""
        bench = self._bench
        if bench is None:
            return False
        held, bench.held = bench.held, None
        before, self.work.before = self.work.before, None
        clicked = self._pressed is not None and self._is_still(event) and not event.again
        self._pressed = None
        if held is not None:
            if self.work.state != before:
                bench.edit(self.work.drop(held.grip))
            self._draw()
        elif clicked and self._picking:
            self._take_pick(bench, event)
        elif clicked:
            self.work.click(event)
        self.hover(event)
        return True

    def hover(self, event: ToolEvent) -> None:
        """Brighten the grip under the pointer, or look at what else is there."""
        bench = self._bench
        if bench is None or bench.step is None:
            return
        if bench.lens.pose is not self._drawn_from:
            self._draw()
        met = grasp(self.work.grips(), event.x, event.y, bench.lens)
        self._warm(bench, met.grip if met else None)
        if self.work.look(None if met or self._picking else event):
            self._draw()
        if met is None and self._picking:
            self.viewport.setCursor(Qt.CursorShape.CrossCursor)

    def leave(self) -> None:
        """Let nothing be under the pointer."""
        if self._bench is not None and self._bench.held is None:
            self._warm(self._bench, None)
            if self.work.look(None):
                self._draw()

    def key(self, event: QKeyEvent) -> bool:
        """Give a drag up on Escape; the tool itself belongs to the step and is not put down by it."""
        bench = self._bench
        if bench is None or bench.step is None:
            return False
        if event.key() != Qt.Key.Key_Escape:
            return bench.held is None and self.work.nudge(event)
        self._picking = ""
        bench.held = self.work.before = None
        self.viewport.unsetCursor()
        self.refresh()
        return True

    def pick_for(self, field: str) -> None:
        """Let the next click on the hold give a place for a field of the step; Escape gives that up."""
        if self._bench is None:
            return
        self.viewport.setFocus()
        if not self.work.picks:
            self._picking = field
            self.viewport.setCursor(Qt.CursorShape.CrossCursor)

    def _draw(self) -> None:
        """Draw the state in place of what was drawn."""
        if self._bench is None:
            return
        self._drawn_from = self._bench.lens.pose
        self._bench.pencil.begin()
        self.work.draw()
        self._bench.pencil.end()

    def _take_pick(self, bench: Bench, event: ToolEvent) -> None:
        """Put the place under the pointer into the field that asked for one."""
        field, self._picking = self._picking, ""
        pick, step = event.pick(), bench.step
        if pick is None or step is None:
            return
        kind = next((each.kind for each in describe(type(step.parameters)) if each.name == field), "")
        place = bench.frames.pick(pick.point, pick.normal)
        match kind:
            case "pick":
                bench.edit({field: place})
            case "picks":
                bench.edit({field: (*getattr(step.parameters, field), place)})
            case "position":
                bench.edit({field: place.point[:2]})

    def _is_still(self, event: ToolEvent) -> bool:
        x, y = self._pressed or (event.x, event.y)
        return float(np.hypot(event.x - x, event.y - y)) <= STILL

    def _warm(self, bench: Bench, grip: Grip | None) -> None:
        if grip is None:
            self.viewport.unsetCursor()
        else:
            self.viewport.setCursor(grip.cursor)
        name = grip.name if grip else ""
        if name != bench.hot:
            bench.hot = name
            self._draw()

    def _step_shown(self, _step_id: str) -> None:
        self.refresh()
