"""The tool for a step: brings pointer and keys to the step's handles, and ends a drag in one edit."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.gui.handles.grip import Grasp, Grip, grasp
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.handles.step_solids import frames_of
from holdwright.gui.viewport.tool import Tool, ToolEvent
from holdwright.gui.viewport.view_camera import Pose
from holdwright.gui.viewport.viewport import Viewport
from holdwright.parameters.describe import describe


class StepTool(Tool[Viewport]):
    """A tool bound to a step of the recipe.

    While a grip is dragged only ghosts move; on letting go the recipe is edited once, on Escape all is as it
    was. A press beside all grips that turns into a drag is the camera's.

    Parameters
    ----------
    make_handles
        Makes the step's handles in a view.
    """

    handles: StepHandles[Any]
    """From `start` on."""

    def __init__(self, make_handles: Callable[[Viewport], StepHandles[Any]]) -> None:
        self._make_handles = make_handles
        self._started = False
        self._picking = ""
        self._pressed: tuple[float, float] | None = None
        self._drawn_from: Pose | None = None

    @property
    def _works(self) -> bool:
        """Whether there is a step to work on in a view."""
        return self._started and self.handles.step is not None

    def start(self, viewport: Viewport) -> None:
        """Start in a view."""
        super().start(viewport)
        self.handles, self._started = self._make_handles(viewport), True
        self.handles.document.recipe_changed.connect(self.refresh)
        self.handles.document.step_shown.connect(self._step_shown)
        for signal in self.handles.redraw_signals():
            signal.connect(self.refresh)
        self.refresh()

    def finish(self) -> None:
        """Stop, and take away what was drawn."""
        if not self._started:
            return
        self._started = False
        self.handles.document.recipe_changed.disconnect(self.refresh)
        self.handles.document.step_shown.disconnect(self._step_shown)
        for signal in self.handles.redraw_signals():
            signal.disconnect(self.refresh)
        self.handles.look(None)
        self.handles.painter.clear()
        self.viewport.unsetCursor()

    def refresh(self) -> None:
        """Read and draw anew; a drag that is under way goes on."""
        handles, step = self.handles, self.handles.step
        if step is None:
            handles.painter.clear()
            return
        handles.frames = frames_of(handles.document, handles.step_id)
        handles.values = step.parameters
        if handles.held is None:
            handles.state = handles.read()
        self._draw()

    def reaches(self, event: ToolEvent) -> bool:
        """Tell whether the pointer is on a grip."""
        return self._works and self._grasp(event) is not None

    def press(self, event: ToolEvent) -> bool:
        """Take a grip, or wait for a click where one means something."""
        handles, self._pressed = self.handles, None
        if not self._works or event.button != Qt.MouseButton.LeftButton:
            return False
        handles.held = self._grasp(event)
        if handles.held is None:
            clickable = event.pick() is not None if self._picking else handles.wants_click(event)
            self._pressed = (event.x, event.y) if clickable else None
            return clickable
        handles.before, handles.hot = handles.state, handles.dragged
        if handles.held.grip.cursor == Qt.CursorShape.OpenHandCursor:
            self.viewport.setCursor(Qt.CursorShape.ClosedHandCursor)
        handles.begin(event)
        self._draw()
        return True

    def move(self, event: ToolEvent) -> bool:
        """Go on with a drag; a click that turns into one is the camera's."""
        if self._started and self.handles.held is not None:
            self.handles.drag(self.handles.held.grip, event)
            self._draw()
            return True
        if self._pressed is not None and not event.is_click(*self._pressed):
            self._pressed = None
            return False
        return True

    def release(self, event: ToolEvent) -> bool:
        """Let go: one edit of the recipe where something was changed."""
        handles = self.handles
        if not self._started:
            return False
        held, handles.held = handles.held, None
        before, handles.before = handles.before, None
        clicked = self._pressed is not None and event.is_click(*self._pressed) and not event.again
        self._pressed = None
        if held is not None:
            if handles.state != before:
                handles.edit(handles.drop(held.grip))
            self._draw()
        elif clicked and self._picking:
            self._take_pick(event)
        elif clicked:
            handles.click(event)
        self.hover(event)
        return True

    def hover(self, event: ToolEvent) -> None:
        """Brighten the grip under the pointer, or look at what else is there."""
        if not self._works:
            return
        if self.handles.lens.pose is not self._drawn_from:
            self._draw()
        found = self._grasp(event)
        self._set_hot(found.grip if found else None)
        if self.handles.look(None if found or self._picking else event):
            self._draw()
        if found is None and self._picking:
            self.viewport.setCursor(Qt.CursorShape.CrossCursor)

    def leave(self) -> None:
        """Let nothing be under the pointer."""
        if self._started and self.handles.held is None:
            self._set_hot(None)
            if self.handles.look(None):
                self._draw()

    def key(self, event: QKeyEvent) -> bool:
        """Give a drag up on Escape; the tool itself belongs to the step and is not put down by it."""
        if not self._works:
            return False
        if event.key() != Qt.Key.Key_Escape:
            return self.handles.held is None and self.handles.nudge(event)
        self._picking = ""
        self.handles.held = self.handles.before = None
        self.viewport.unsetCursor()
        self.refresh()
        return True

    def pick_for(self, field: str) -> None:
        """Let the next click on the hold give a place for a field of the step; Escape gives that up."""
        if not self._started:
            return
        self.viewport.setFocus()
        if not self.handles.picks:
            self._picking = field
            self.viewport.setCursor(Qt.CursorShape.CrossCursor)

    def _grasp(self, event: ToolEvent) -> Grasp | None:
        return grasp(self.handles.grips(), event.x, event.y, self.handles.lens)

    def _draw(self) -> None:
        """Draw the state in place of what was drawn."""
        if self._started:
            self._drawn_from = self.handles.lens.pose
            self.handles.painter.begin()
            self.handles.draw()
            self.handles.painter.end()

    def _take_pick(self, event: ToolEvent) -> None:
        """Put the place under the pointer into the field that asked for one."""
        field, self._picking = self._picking, ""
        pick, step = event.pick(), self.handles.step
        if pick is None or step is None:
            return
        kind = next((each.kind for each in describe(type(step.parameters)) if each.name == field), "")
        place = self.handles.frames.pick(pick.point, pick.normal)
        match kind:
            case "pick":
                self.handles.edit({field: place})
            case "picks":
                self.handles.edit({field: (*getattr(step.parameters, field), place)})
            case "position":
                self.handles.edit({field: place.point[:2]})

    def _set_hot(self, grip: Grip | None) -> None:
        if grip is None:
            self.viewport.unsetCursor()
        else:
            self.viewport.setCursor(grip.cursor)
        name = grip.name if grip else ""
        if name != self.handles.hot:
            self.handles.hot = name
            self._draw()

    def _step_shown(self, _step_id: str) -> None:
        self.refresh()
