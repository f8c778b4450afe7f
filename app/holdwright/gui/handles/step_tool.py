"""The tool for a step: brings pointer and keys to the step's handles, and ends a drag in one edit."""

from collections.abc import Callable
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.gui.handles.context import HandleContext
from holdwright.gui.handles.grip import Grip, grasp
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.handles.step_solids import frames_of
from holdwright.gui.viewport.tool import Tool, ToolEvent
from holdwright.gui.viewport.view_camera import Pose
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets.painting import tones
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
        Class of the handles.
    make_context
        Makes their context in a view.
    """

    name = "handles"

    def __init__(
        self, kind: type[StepHandles[Any]], make_context: Callable[[Viewport], HandleContext]
    ) -> None:
        self.handles: StepHandles[Any]
        self._kind = kind
        self._make_context = make_context
        self._context: HandleContext | None = None
        self._picking = ""
        self._pressed: tuple[float, float] | None = None
        self._drawn_from: Pose | None = None

    def start(self, viewport: Viewport) -> None:
        """Start in a view."""
        super().start(viewport)
        self._context = self._make_context(viewport)
        self.handles = self._kind(self._context)
        self._context.document.recipe_changed.connect(self.refresh)
        self._context.document.step_shown.connect(self._step_shown)
        for signal in self.handles.redraw_signals():
            signal.connect(self.refresh)
        self.refresh()

    def finish(self) -> None:
        """Stop, and take away what was drawn."""
        context, self._context = self._context, None
        if context is None:
            return
        context.document.recipe_changed.disconnect(self.refresh)
        context.document.step_shown.disconnect(self._step_shown)
        for signal in self.handles.redraw_signals():
            signal.disconnect(self.refresh)
        self.handles.look(None)
        context.painter.clear()
        self.viewport.unsetCursor()

    def refresh(self) -> None:
        """Read and draw anew; a drag that is under way goes on."""
        context = self._context
        if context is None:
            return
        if context.step is None:
            context.painter.clear()
            return
        context.painter.tones = tones(self.viewport)
        context.frames = frames_of(context.document, context.step_id)
        if context.held is None:
            self.handles.state = self.handles.read(context.step)
        self._draw()

    def reaches(self, event: ToolEvent) -> bool:
        """Tell whether the pointer is on a grip."""
        context = self._context
        if context is None or context.step is None:
            return False
        return grasp(self.handles.grips(), event.x, event.y, context.lens) is not None

    def press(self, event: ToolEvent) -> bool:
        """Take a grip, or wait for a click where one means something."""
        context, self._pressed = self._context, None
        if context is None or context.step is None or event.button != Qt.MouseButton.LeftButton:
            return False
        context.held = grasp(self.handles.grips(), event.x, event.y, context.lens)
        if context.held is None:
            wanted = event.pick() is not None if self._picking else self.handles.wants_click(event)
            self._pressed = (event.x, event.y) if wanted else None
            return wanted
        self.handles.before, context.hot = self.handles.state, context.dragged
        if context.held.grip.cursor == Qt.CursorShape.OpenHandCursor:
            self.viewport.setCursor(Qt.CursorShape.ClosedHandCursor)
        self.handles.begin(event)
        self._draw()
        return True

    def move(self, event: ToolEvent) -> bool:
        """Go on with a drag; a click that turns into one is the camera's."""
        if self._context is not None and self._context.held is not None:
            self.handles.drag(self._context.held.grip, event)
            self._draw()
            return True
        if self._pressed is not None and not self._is_still(event):
            self._pressed = None
            return False
        return True

    def release(self, event: ToolEvent) -> bool:
        """Let go: one edit of the recipe where something was changed."""
        context = self._context
        if context is None:
            return False
        held, context.held = context.held, None
        before, self.handles.before = self.handles.before, None
        clicked = self._pressed is not None and self._is_still(event) and not event.again
        self._pressed = None
        if held is not None:
            if self.handles.state != before:
                context.edit(self.handles.drop(held.grip))
            self._draw()
        elif clicked and self._picking:
            self._take_pick(context, event)
        elif clicked:
            self.handles.click(event)
        self.hover(event)
        return True

    def hover(self, event: ToolEvent) -> None:
        """Brighten the grip under the pointer, or look at what else is there."""
        context = self._context
        if context is None or context.step is None:
            return
        if context.lens.pose is not self._drawn_from:
            self._draw()
        met = grasp(self.handles.grips(), event.x, event.y, context.lens)
        self._warm(context, met.grip if met else None)
        if self.handles.look(None if met or self._picking else event):
            self._draw()
        if met is None and self._picking:
            self.viewport.setCursor(Qt.CursorShape.CrossCursor)

    def leave(self) -> None:
        """Let nothing be under the pointer."""
        if self._context is not None and self._context.held is None:
            self._warm(self._context, None)
            if self.handles.look(None):
                self._draw()

    def key(self, event: QKeyEvent) -> bool:
        """Give a drag up on Escape; the tool itself belongs to the step and is not put down by it."""
        context = self._context
        if context is None or context.step is None:
            return False
        if event.key() != Qt.Key.Key_Escape:
            return context.held is None and self.handles.nudge(event)
        self._picking = ""
        context.held = self.handles.before = None
        self.viewport.unsetCursor()
        self.refresh()
        return True

    def pick_for(self, field: str) -> None:
        """Let the next click on the hold give a place for a field of the step; Escape gives that up."""
        if self._context is None:
            return
        self.viewport.setFocus()
        if not self.handles.picks:
            self._picking = field
            self.viewport.setCursor(Qt.CursorShape.CrossCursor)

    def _draw(self) -> None:
        """Draw the state in place of what was drawn."""
        if self._context is None:
            return
        self._drawn_from = self._context.lens.pose
        self._context.painter.begin()
        self.handles.draw()
        self._context.painter.end()

    def _take_pick(self, context: HandleContext, event: ToolEvent) -> None:
        """Put the place under the pointer into the field that asked for one."""
        field, self._picking = self._picking, ""
        pick, step = event.pick(), context.step
        if pick is None or step is None:
            return
        kind = next((each.kind for each in describe(type(step.parameters)) if each.name == field), "")
        place = context.frames.pick(pick.point, pick.normal)
        match kind:
            case "pick":
                context.edit({field: place})
            case "picks":
                context.edit({field: (*getattr(step.parameters, field), place)})
            case "position":
                context.edit({field: place.point[:2]})

    def _is_still(self, event: ToolEvent) -> bool:
        x, y = self._pressed or (event.x, event.y)
        return float(np.hypot(event.x - x, event.y - y)) <= STILL

    def _warm(self, context: HandleContext, grip: Grip | None) -> None:
        if grip is None:
            self.viewport.unsetCursor()
        else:
            self.viewport.setCursor(grip.cursor)
        name = grip.name if grip else ""
        if name != context.hot:
            context.hot = name
            self._draw()

    def _step_shown(self, _step_id: str) -> None:
        self.refresh()
