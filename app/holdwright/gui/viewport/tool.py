"""What the user works with in the view: a tool hears of the pointer before the camera does."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.picking import Pick

V = TypeVar("V")
"""The kind of view a tool works in."""


@dataclass(frozen=True, eq=False)
class ToolEvent:
    """The pointer over the view."""

    x: float
    y: float
    """x and y: device-independent pixels from the view's upper left corner."""
    pick: Callable[[], Pick | None]
    """Gives what lies under the pointer, or None."""
    ray: Callable[[], tuple[Floats, Floats]]
    """Gives the line of sight: start (3,) and unit direction (3,), mm."""
    modifiers: Qt.KeyboardModifier
    """Keys held down."""
    button: Qt.MouseButton = Qt.MouseButton.NoButton
    """That was pressed or let go; none while the pointer moves."""
    again: bool = False
    """Whether this is the second click of a double click: to grasp is meant anew, to click is not."""

    def is_click(self, x: float, y: float) -> bool:
        """Tell whether the pointer has strayed no further from a pixel than 4 pixels, and still clicks."""
        return math.hypot(self.x - x, self.y - y) <= 4.0


class Tool(Generic[V]):
    """A tool that does nothing yet; each kind answers what concerns it.

    `press` says whether the tool takes what follows, up to the release; otherwise the camera does. Whatever a
    tool draws goes through `viewport.overlay` under names of its own and is taken away in `finish`.

    """

    viewport: V

    def start(self, viewport: V) -> None:
        """Take up work in a view."""
        self.viewport = viewport

    def finish(self) -> None:
        """Put the work down and take away what was drawn."""

    def refresh(self) -> None:
        """Draw anew: the scheme or what is shown has changed."""

    def reaches(self, event: ToolEvent) -> bool:  # noqa: ARG002
        """Tell whether the pointer is on something that can be grasped, not only clicked."""
        return False

    def press(self, event: ToolEvent) -> bool:  # noqa: ARG002
        """Hear of a button pressed, and tell whether the tool takes it."""
        return False

    def move(self, event: ToolEvent) -> bool:  # noqa: ARG002
        """Hear of the pointer moved with the button held, and tell whether the tool goes on with the drag."""
        return False

    def release(self, event: ToolEvent) -> bool:  # noqa: ARG002
        """Hear of that button let go."""
        return False

    def hover(self, event: ToolEvent) -> None:
        """Hear of the pointer moved with no button held."""

    def leave(self) -> None:
        """Hear that the pointer left the view."""

    def key(self, event: QKeyEvent) -> bool:  # noqa: ARG002
        """Hear of a key pressed, and tell whether the tool takes it."""
        return False
