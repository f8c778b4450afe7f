"""What the tools of all steps have in common: grips that are dragged, clicks, and one edit on letting go."""

from abc import abstractmethod
from collections.abc import Mapping, Sequence
from typing import Any, ClassVar, Final, Generic, TypeVar

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.geometry.sculpt import Floats
from holdwright.gui.document import Document
from holdwright.gui.figures import Preferred
from holdwright.gui.handles.aim import along_axis, is_end_on
from holdwright.gui.handles.frames import Frames, frames_of
from holdwright.gui.handles.grip import Grasp, Grip, grasp
from holdwright.gui.handles.pencil import Pencil
from holdwright.gui.tones import tones
from holdwright.gui.viewport.pose import Pose
from holdwright.gui.viewport.tool import Tool, ToolEvent
from holdwright.gui.viewport.viewport import Viewport
from holdwright.parameters.describe import describe
from holdwright.pipeline.recipe import Step

S = TypeVar("S")

STILL: Final = 4.0
"""Pixels a pressed pointer may stray and still click."""


class StepTool(Tool, Generic[S]):
    """A tool bound to a step of the recipe.

    It holds a `state`, read from the recipe and from what the step gave, and draws it. While a grip is
    dragged only the state changes; on letting go the recipe is edited once, on Escape the state is as before.

    Parameters
    ----------
    document
        The open document.
    step_id
        The step worked on.
    unit
        Figures are written in it.
    """

    operation: ClassVar[str]

    state: S

    def __init__(
        self, document: Document, step_id: str, catalogue: Catalogue, unit: Preferred = "mm"
    ) -> None:
        self.document = document
        self.step_id = step_id
        self.catalogue = catalogue
        self.unit = unit
        self.hot = ""
        self.picking = ""
        self.dragged: Grip | None = None
        self.grasp: Grasp | None = None
        self.frames = Frames(None, None, own=False)
        self.pencil: Pencil
        self.before: S | None = None
        self._pressed: tuple[float, float] | None = None
        self._started = False
        self._drawn_from: Pose | None = None

    # What each tool says

    @abstractmethod
    def read(self, step: Step) -> S:
        """Read the state from the recipe and from what the step last gave."""

    def grips(self) -> Sequence[Grip]:
        """Give what can be taken hold of now."""
        return ()

    def draw(self) -> None:
        """Draw the state."""

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Change the state as the pointer drags a grip."""

    def drop(self, grip: Grip) -> Mapping[str, Any]:  # noqa: ARG002
        """Give the edit that makes the recipe as the state is; blank for none."""
        return {}

    def wants_click(self, event: ToolEvent) -> bool:  # noqa: ARG002
        """Tell whether a click here means something."""
        return False

    def click(self, event: ToolEvent) -> None:
        """Hear of a click beside all grips."""

    def look(self, event: ToolEvent) -> None:
        """Hear of the pointer passing with no button held and no grip under it."""

    # What the view says

    def start(self, viewport: Viewport) -> None:
        """Take up work in a view."""
        super().start(viewport)
        self.pencil = Pencil(viewport.overlay, self.step_id, tones(viewport))
        self._started = True
        self.document.recipe_changed.connect(self.refresh)
        self.document.step_shown.connect(self._step_shown)
        self.refresh()

    def finish(self) -> None:
        """Put the work down and take away what was drawn."""
        if not self._started:
            return
        self._started = False
        self.document.recipe_changed.disconnect(self.refresh)
        self.document.step_shown.disconnect(self._step_shown)
        self.dragged = None
        self.pencil.clear()
        self.viewport.unsetCursor()

    def refresh(self) -> None:
        """Read and draw anew; a drag that is under way goes on."""
        step = self._step()
        if not self._started or step is None:
            return
        self.pencil.tones = tones(self.viewport)
        self.frames = frames_of(self.document, self.step_id)
        if self.dragged is None:
            self.state = self.read(step)
        self.redraw()

    def redraw(self) -> None:
        """Draw the state in place of what was drawn."""
        self._drawn_from = self.viewport.lens.pose
        self.pencil.begin()
        self.draw()
        self.pencil.end()

    def press(self, event: ToolEvent) -> bool:
        """Take a grip, or wait for a click where one means something."""
        self._pressed = None
        if event.button != Qt.MouseButton.LeftButton or self._step() is None:
            return False
        met = grasp(self.grips(), event.x, event.y, self.viewport.lens)
        if met is None:
            wanted = event.pick() is not None if self.picking else self.wants_click(event)
            self._pressed = (event.x, event.y) if wanted else None
            return self._pressed is not None
        self.grasp, self.dragged, self.before = met, met.grip, self.state
        self.hot = met.grip.name
        if met.grip.cursor == Qt.CursorShape.OpenHandCursor:
            self.viewport.setCursor(Qt.CursorShape.ClosedHandCursor)
        self.redraw()
        return True

    def move(self, event: ToolEvent) -> bool:
        """Go on with a drag; a click that turns into one is the camera's."""
        if self.dragged is not None:
            self.drag(self.dragged, event)
            self.redraw()
            return True
        if self._pressed is not None and not self._still(event):
            self._pressed = None
            return False
        return True

    def release(self, event: ToolEvent) -> bool:
        """Let go: one edit of the recipe where something was changed."""
        grip, self.dragged = self.dragged, None
        if grip is not None:
            if self.state != self.before:
                self.edit(self.drop(grip))
            self.hover(event)
            self.redraw()
            return True
        clicked = self._pressed is not None and self._still(event)
        self._pressed = None
        if clicked and self.picking:
            self._take_pick(event)
        elif clicked:
            self.click(event)
        return True

    def hover(self, event: ToolEvent) -> None:
        """Brighten the grip under the pointer, or look at what else is there."""
        if self._step() is None:
            return
        if self.viewport.lens.pose is not self._drawn_from:
            self.redraw()
        met = grasp(self.grips(), event.x, event.y, self.viewport.lens)
        self._warm(met.grip if met else None)
        if met is None and self.picking:
            self.viewport.setCursor(Qt.CursorShape.CrossCursor)
        elif met is None:
            self.look(event)

    def leave(self) -> None:
        """Let nothing be under the pointer."""
        if self.dragged is None:
            self._warm(None)

    def key(self, event: QKeyEvent) -> bool:
        """Give a drag up on Escape; the tool itself belongs to the step and is not put down by it."""
        if event.key() != Qt.Key.Key_Escape:
            return False
        self.picking = ""
        if self.dragged is not None and self.before is not None:
            self.dragged = self.grasp = None
            self.state = self.before
            self.viewport.unsetCursor()
        self.refresh()
        return True

    def pick_for(self, field: str) -> None:
        """Let the next click on the hold give a place for a field of the step; Escape gives that up."""
        self.picking = field
        self.viewport.setFocus()
        self.viewport.setCursor(Qt.CursorShape.CrossCursor)

    # For the tools

    def edit(self, changes: Mapping[str, Any], tag: str = "") -> None:
        """Change values of the step, as one entry of the history."""
        if changes:
            self.document.edits.edit(self.step_id, changes, tag)

    def travel(self, event: ToolEvent, axis: Floats) -> float:
        """Give how far the pointer has dragged along a unit axis through where it took hold, mm.

        Where the axis points at the eye, up on the screen is along it.
        """
        held = self.grasp
        if held is None:
            return 0.0
        if is_end_on(event.ray(), axis):
            return (held.y - event.y) * self.viewport.lens.mm_per_pixel(held.place)
        began = along_axis(self.viewport.lens.ray(held.x, held.y), held.place, axis)
        return along_axis(event.ray(), held.place, axis) - began

    def values(self) -> Any:
        """Give the step's parameters as the recipe has them."""
        step = self._step()
        return step.parameters if step else None

    def is_hot(self, name: str) -> bool:
        """Tell whether a grip is under the pointer or dragged."""
        return self.hot == name

    @staticmethod
    def is_free(event: ToolEvent) -> bool:
        """Tell whether the hand asks not to be led to whole figures: Alt is held."""
        return bool(event.modifiers & Qt.KeyboardModifier.AltModifier)

    def _take_pick(self, event: ToolEvent) -> None:
        """Put the place under the pointer into the field that asked for one."""
        field, self.picking = self.picking, ""
        pick, values = event.pick(), self.values()
        kind = next((each.kind for each in describe(type(values)) if each.name == field), "")
        if pick is None or not kind:
            return
        place = self.frames.pick(pick.point, pick.normal)
        match kind:
            case "pick":
                self.edit({field: place})
            case "picks":
                self.edit({field: (*getattr(values, field), place)})
            case "position":
                self.edit({field: place.point[:2]})

    def _still(self, event: ToolEvent) -> bool:
        x, y = self._pressed or (event.x, event.y)
        return float(np.hypot(event.x - x, event.y - y)) <= STILL

    def _warm(self, grip: Grip | None) -> None:
        name = grip.name if grip else ""
        if grip is None:
            self.viewport.unsetCursor()
        else:
            self.viewport.setCursor(grip.cursor)
        if name != self.hot:
            self.hot = name
            self.redraw()

    def _step_shown(self, _step_id: str) -> None:
        self.refresh()

    def _step(self) -> Step | None:
        try:
            step = self.document.recipe.step(self.step_id)
        except HoldwrightError:
            return None
        return step if step.operation == self.operation else None
