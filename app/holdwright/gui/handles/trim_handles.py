"""Where the back is cut: drag the outline off the wall or toward it, and the rim below it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points, scale_of
from holdwright.gui.handles.ghost_drawing import BOLD
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.level_cut import LevelCut, level_cut
from holdwright.gui.handles.silhouette import thicker
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.handles.step_solids import entering_surface
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import Rim
from holdwright.operations.trim_parameters import TrimBaseParameters
from holdwright.pipeline.display_results import Surface
from holdwright.pipeline.recipe import Step

UP: Final = np.array([0.0, 0.0, 1.0])

LEAST_LEFT: Final = 1.0
"""The pointer cuts no nearer to the hold's top than this, mm."""

MOST_RIM: Final = 100.0

SNAP: Final = 0.7
"""A cut dragged this near to a marked height takes it, mm."""

THICKER: Final = 0.4
"""How much what is cut away is drawn thicker than it is, mm."""


@dataclass(frozen=True)
class Cut:
    """Height of the cut above the lowest point of the hold as it enters the step, and of the rim, mm."""

    height: float
    rim: float


class TrimHandles(StepHandles[Cut]):
    """Draws the outline at the cut and the finished back below it."""

    operation = "trim_base"

    _surface: Surface | None = None
    _thicker: Floats | None = None
    _low = 0.0
    _top = 0.0
    _cut: tuple[float, LevelCut] | None = None
    _marked: tuple[tuple[float, Floats], ...] = ()

    def read(self, step: Step) -> Cut:
        """Take the cut from the recipe, or from what was found."""
        values = step.parameters
        assert isinstance(values, TrimBaseParameters)
        surface = entering_surface(self.frames)
        if surface is not self._surface:
            self._surface, self._cut, self._thicker, self._marked = surface, None, None, ()
            if surface is not None:
                heights = surface.vertices[:, 2]
                self._low, self._top = float(heights.min()), float(heights.max())
        if not self.frames.own or self.frames.shown is None:
            return Cut(values.height, values.rim)
        made = next((each for each in self.frames.shown.features if isinstance(each, Rim)), None)
        self._mark(made.candidates[1:] if made else ())
        if values.by == "height":
            return Cut(values.height, values.rim)
        at = np.array([0.0, 0.0, made.height if made else values.rim])
        return Cut(float(move_points(self.frames.to_entering, at)[2]) - self._low, values.rim)

    def grips(self) -> Sequence[Grip]:
        """Give the knobs of cut and rim, and the outline at the cut anywhere along it."""
        if self._surface is None or not len(self._outline().segments):
            return ()
        up_down = Qt.CursorShape.SizeVerCursor
        knob, below = self._knobs()
        return (
            Grip("cut", knob[None], up_down),
            Grip("rim", below[None], up_down),
            Grip("outline", self._shown(), up_down),
        )

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Follow the pointer up and down."""
        before = self.before
        if before is None:
            return
        way = self.context.travel(event, UP) * scale_of(self.frames.to_entering)
        if grip.name == "rim":
            rim = self.context.snapped(before.rim - way, 0.5, event)
            self.state = replace(before, rim=float(np.clip(rim, 0.0, MOST_RIM)))
            return
        most = max(self._top - self._low - LEAST_LEFT, 0.0)
        height = self.context.snapped(before.height + way, 0.1, event)
        height = next((mark for mark, _ in self._marked if abs(mark - height) < SNAP), height)
        self.state = replace(before, height=float(np.clip(height, 0.0, most)))

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit the height or the rim."""
        if grip.name == "rim":
            return {"rim": self.state.rim}
        return {"by": "height", "height": self.state.height}

    def draw(self) -> None:
        """Draw outline, back and knobs, and while dragging what is cut away."""
        if self._surface is None:
            return
        cut = self._outline()
        if not len(cut.segments):
            return
        hot, dragged = self.hot in ("cut", "outline"), self.context.dragged
        outline = self._shown()
        self.painter.line("cut", outline, width=BOLD - 0.8, hot=hot, through=bool(dragged))
        knob, below = self._knobs()
        self.painter.line("back", outline - UP * self.state.rim, width=1.2, hot=self.hot == "rim")
        self.painter.quiet_line("post", np.array([below, below + UP * self.state.rim]), over=True)
        self.painter.knob("rim", below, hot=self.hot == "rim", filled=False)
        self.painter.knob("cut", knob, hot=hot)
        self._draw_marks()
        self.painter.label("cut", knob, f"cut {self.text(self.state.height)}", (64.0, -14.0))
        if self.hot == "rim":
            self.painter.label("rim", below, f"rim {self.text(self.state.rim)}", (0.0, 26.0))
        if dragged and dragged != "rim":
            self.painter.label("area", knob, f"back {self.context.area_text(cut.area)}", (70.0, 12.0))
        if dragged and dragged != "rim":
            self._draw_waste()

    def _mark(self, heights: Sequence[float]) -> None:
        """Take further heights that were weighed, with the outline at each."""
        if self._surface is not None and heights != tuple(mark for mark, _ in self._marked):
            self._marked = tuple(
                (height, level_cut(self._surface, self._low + height).segments) for height in heights
            )

    def _draw_marks(self) -> None:
        """Draw the further heights: a fine outline and what the cut would be."""
        for number, (height, segments) in enumerate(self._marked):
            if len(segments) and abs(height - self.state.height) > SNAP:
                points = move_points(self.frames.from_entering, segments.reshape(-1, 3))
                self.painter.quiet_line(f"mark-{number}", points.reshape(-1, 2, 3), over=True)
                # One label at the left and one at the top, lest they cover each other.
                end = points[int(np.argmin(self.context.lens.project(points)[:, number % 2]))]
                shift = ((-46.0, 0.0), (0.0, -22.0))[number % 2]
                self.painter.label(f"mark-{number}", end, f"or {self.text(height)}", shift)

    def _draw_waste(self) -> None:
        """Draw what lies below the cut as it came."""
        assert self._surface is not None
        z = self._low + self.state.height
        below = (self._surface.vertices[:, 2] < z)[self._surface.triangles].any(axis=1)
        used, triangles = np.unique(self._surface.triangles[below], return_inverse=True)
        if self._thicker is None:
            self._thicker = thicker(self._surface, THICKER)
        points = self._thicker[used]
        points[:, 2] = np.minimum(points[:, 2], z)
        self.painter.sheet(
            "waste", (move_points(self.frames.from_entering, points), triangles.reshape(-1, 3)), 0.28
        )

    def _outline(self) -> LevelCut:
        assert self._surface is not None
        # A hair above a level bottom there is an outline; on it there is none.
        height = max(self.state.height, 1e-3)
        if self._cut is None or self._cut[0] != height:
            self._cut = height, level_cut(self._surface, self._low + height)
        return self._cut[1]

    def _shown(self) -> Floats:
        """Give the outline's segments in the frame of what is shown."""
        segments = self._outline().segments
        return move_points(self.frames.from_entering, segments.reshape(-1, 3)).reshape(-1, 2, 3)

    def _knobs(self) -> tuple[Floats, Floats]:
        """Give the outline's place farthest to the right as it is seen now, and the back's lowest."""
        points = self._shown().reshape(-1, 3)
        seen = self.context.lens.project(points)
        right, lowest = points[int(np.argmax(seen[:, 0]))], points[int(np.argmax(seen[:, 1]))]
        return np.asarray(right), np.asarray(lowest - UP * self.state.rim)
