"""What is particular to one kind of step: its grips, how they are drawn, and the edit they end in."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence
from typing import Any, ClassVar, Generic, TypeVar

import numpy as np
from PySide6.QtCore import Qt, SignalInstance
from PySide6.QtGui import QKeyEvent

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.geometry.arrays import Floats
from holdwright.gui.document.document import Document
from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.handles.grip import Grasp, Grip, travel
from holdwright.gui.handles.pointer_projection import snapped
from holdwright.gui.handles.silhouette import Silhouette
from holdwright.gui.handles.step_solids import Frames
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.gui.viewport.view_camera import Lens
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets.number_format import Preferred, length_text
from holdwright.pipeline.recipes.recipe import Step
from holdwright.pipeline.views.display_results import Surface

S = TypeVar("S")
T = TypeVar("T")


class HandleContext:
    """What the handles of a step use: document, view, something to draw with, what the pointer holds.

    Parameters
    ----------
    unit
        Lengths are written in it.
    """

    operation: ClassVar[str]
    """Name of the operation it is for."""

    frames = Frames(None, None, own=False)
    """Which results the step is between."""
    hot = ""
    """Name of the grip under the pointer or dragged, or blank."""
    held: Grasp | None = None
    """What is dragged, or None."""

    def __init__(
        self, document: Document, step_id: str, catalogue: Catalogue, unit: Preferred, viewport: Viewport
    ) -> None:
        self.document = document
        self.step_id = step_id
        self.catalogue = catalogue
        self.unit = unit
        self.viewport = viewport
        self.painter = GhostPainter(viewport, step_id)
        self._made: dict[Callable[[Surface], Any], tuple[Surface, Any]] = {}

    @property
    def step(self) -> Step | None:
        """The step as the recipe has it; None once it is gone or another's, and while it is skipped."""
        try:
            step = self.document.recipe.step(self.step_id)
        except HoldwrightError:
            return None
        return step if step.operation == self.operation and step.enabled else None

    @property
    def lens(self) -> Lens:
        """How the view is looked at now."""
        return self.viewport.lens

    @property
    def dragged(self) -> str:
        """Name of the grip that is dragged, or blank."""
        return self.held.grip.name if self.held else ""

    def edit(self, changes: Mapping[str, Any], tag: str = "") -> None:
        """Change values of the step, as one entry of the history."""
        if changes:
            self.document.edits.edit(self.step_id, changes, tag)

    def made_of(self, surface: Surface, make: Callable[[Surface], T]) -> T:
        """Give what is made of a surface, made anew only where it is another surface than last time."""
        known = self._made.get(make)
        if known is None or known[0] is not surface:
            known = self._made[make] = (surface, make(surface))
        made: T = known[1]
        return made

    def travel(self, event: ToolEvent, axis: Floats) -> float:
        """Give how far the pointer has dragged along a unit axis through where it took hold, mm."""
        return travel(self.held, event, axis, self.lens) if self.held else 0.0

    def text(self, length: float) -> str:
        """Write a length in mm as it stands beside a handle."""
        return length_text(length, self.unit)

    def snapped(self, length: float, step: float, event: ToolEvent) -> float:
        """Put a length on whole steps, both in mm; with Alt held it stays nearly as it is."""
        free = bool(event.modifiers & Qt.KeyboardModifier.AltModifier)
        return snapped(length, step, self.unit, free=free)

    def draw_moved(self, name: str, matrix: Floats) -> None:
        """Draw the outline of the hold shown as it were after a (4, 4) similarity."""
        if (surface := self.frames.shown_surface) is not None:
            outline = self.made_of(surface, Silhouette).outline(matrix, self.lens.pose.position)
            self.painter.ghost(name, outline)

    def rightmost(self, points: Floats) -> Floats:
        """Give which of (n, 3) points is farthest to the right as it is seen now."""
        return np.asarray(points[int(np.argmax(self.lens.project(points)[:, 0]))])


class StepHandles(HandleContext, ABC, Generic[S]):
    """The handles of one step in one view.

    It holds a `state`, read from the recipe and from what the step gave, and draws it. A drag changes the
    state alone; the edit follows when the pointer lets go.
    """

    picks: ClassVar[bool] = False
    """Whether a click on the hold gives a place by itself, without a field having asked for one."""

    values: Any
    """The step's parameters as the recipe has them."""
    state: S
    """What is drawn."""
    before: S | None = None
    """The state as the drag under way found it; None while nothing is dragged."""

    @abstractmethod
    def read(self) -> S:
        """Read the state from the recipe and from what the step last gave."""

    @abstractmethod
    def draw(self) -> None:
        """Draw the state."""

    def redraw_signals(self) -> Sequence[SignalInstance]:
        """Give the signals, beside the document's own, after which it is to be drawn anew."""
        return ()

    def grips(self) -> Sequence[Grip]:
        """Give what can be taken hold of now."""
        return ()

    def begin(self, event: ToolEvent) -> None:
        """Hear that a grip was taken."""

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Change the state as the pointer drags a grip."""

    def drop(self, grip: Grip) -> Mapping[str, Any]:  # noqa: ARG002
        """Give the edit that makes the recipe as the state is."""
        return {}

    def wants_click(self, event: ToolEvent) -> bool:  # noqa: ARG002
        """Tell whether a click here means something."""
        return False

    def click(self, event: ToolEvent) -> None:
        """Hear of a click beside all grips."""

    def look(self, event: ToolEvent | None) -> bool:  # noqa: ARG002
        """Hear of the pointer passing beside all grips (None: gone), and tell whether to draw anew."""
        return False

    def nudge(self, event: QKeyEvent) -> bool:  # noqa: ARG002
        """Hear of a key, and tell whether it is taken."""
        return False
