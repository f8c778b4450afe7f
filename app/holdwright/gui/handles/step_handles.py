"""What is particular to one kind of step: its grips, how they are drawn, and the edit they end in."""

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from typing import Any, ClassVar, Generic, TypeVar

from PySide6.QtCore import SignalInstance
from PySide6.QtGui import QKeyEvent

from holdwright.gui.handles.context import HandleContext
from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.step_solids import Frames
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.pipeline.recipe import Step

S = TypeVar("S")


class StepHandles(ABC, Generic[S]):
    """The handles of one step.

    It holds a `state`, read from the recipe and from what the step gave, and draws it. A drag changes the
    state alone; the edit follows when the pointer lets go.

    Attributes
    ----------
    operation
        Name of the operation it is for.
    picks
        Whether a click on the hold gives a place by itself, without a field having asked for one.
    state
        What is drawn.
    before
        The state as the drag under way found it; None while nothing is dragged.
    """

    operation: ClassVar[str]
    picks: ClassVar[bool] = False

    state: S
    before: S | None = None

    def __init__(self, context: HandleContext) -> None:
        self.context = context

    @property
    def frames(self) -> Frames:
        """Which results the step is between."""
        return self.context.frames

    @property
    def painter(self) -> GhostPainter:
        """What the state is drawn with."""
        return self.context.painter

    @property
    def hot(self) -> str:
        """Name of the grip under the pointer or dragged, or blank."""
        return self.context.hot

    def text(self, length: float) -> str:
        """Write a length in mm as it stands beside a handle."""
        return self.context.text(length)

    @abstractmethod
    def read(self, step: Step) -> S:
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
