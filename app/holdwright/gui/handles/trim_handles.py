"""Where the back is cut: drag the outline off the wall or toward it, and the rim below it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points, scale_of
from holdwright.gui.handles.ghost_drawing import BOLD
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.pointer_projection import area_text
from holdwright.gui.handles.silhouette import thicker
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import Rim
from holdwright.operations.trim_parameters import TrimBaseParameters
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.contour import contour

UP: Final = np.array([0.0, 0.0, 1.0])

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

    values: TrimBaseParameters
    _weighed: tuple[Surface | None, Sequence[float]] = (None, ())

    def read(self) -> Cut:
        """Take the cut from the recipe, or from what was found."""
        values = self.values
        if not self.frames.own or self.frames.shown is None:
            return Cut(values.height, values.rim)
        made = next((each for each in self.frames.shown.features if isinstance(each, Rim)), None)
        self._weighed = self.frames.entering_surface, made.candidates[1:] if made else ()
        if values.by == "height":
            return Cut(values.height, values.rim)
        at = np.array([0.0, 0.0, made.height if made else values.rim])
        return Cut(float(move_points(self.frames.to_entering, at)[2]) - self._levels()[0], values.rim)

    def grips(self) -> Sequence[Grip]:
        """Give the knobs of cut and rim, and the outline at the cut anywhere along it."""
        if not len(self._outline(self.state.height)):
            return ()
        up_down = Qt.CursorShape.SizeVerCursor
        knob, below = self._knobs()
        return (
            Grip("cut", knob[None], up_down),
            Grip("rim", below[None], up_down),
            Grip("outline", self._shown(self.state.height), up_down),
        )

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Follow the pointer up and down."""
        before = self.before
        if before is None:
            return
        way = self.travel(event, UP) * scale_of(self.frames.to_entering)
        if grip.name == "rim":
            rim = self.snapped(before.rim - way, 0.5, event)
            self.state = replace(before, rim=float(np.clip(rim, 0.0, 100.0)))
            return
        low, top = self._levels()
        # The pointer cuts no nearer to the hold's top, mm.
        most = max(top - low - 1.0, 0.0)
        height = self.snapped(before.height + way, 0.1, event)
        height = next((mark for mark in self._marks() if abs(mark - height) < SNAP), height)
        self.state = replace(before, height=float(np.clip(height, 0.0, most)))

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit the height or the rim."""
        if grip.name == "rim":
            return {"rim": self.state.rim}
        return {"by": "height", "height": self.state.height}

    def draw(self) -> None:
        """Draw outline, back and knobs, and while dragging what is cut away."""
        cut = self._outline(self.state.height)
        if not len(cut):
            return
        hot, dragged = self.hot in ("cut", "outline"), self.dragged
        outline = self._shown(self.state.height)
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
            area = area_text(enclosed_area(cut), self.unit)
            self.painter.label("area", knob, f"back {area}", (70.0, 12.0))
            self._draw_waste()

    def _marks(self) -> Sequence[float]:
        """Give further heights that were weighed, of the hold as it enters the step now."""
        surface, heights = self._weighed
        return heights if surface is self.frames.entering_surface else ()

    def _draw_marks(self) -> None:
        """Draw the further heights: a fine outline and what the cut would be."""
        for number, height in enumerate(self._marks()):
            segments = self._shown(height)
            if len(segments) and abs(height - self.state.height) > SNAP:
                self.painter.quiet_line(f"mark-{number}", segments, over=True)
                points = segments.reshape(-1, 3)
                # One label at the left and one at the top, lest they cover each other.
                end = points[int(np.argmin(self.lens.project(points)[:, number % 2]))]
                shift = ((-46.0, 0.0), (0.0, -22.0))[number % 2]
                self.painter.label(f"mark-{number}", end, f"or {self.text(height)}", shift)

    def _draw_waste(self) -> None:
        """Draw what lies below the cut as it came."""
        surface = self.frames.entering_surface
        assert surface is not None  # or nothing would be dragged
        z = self._levels()[0] + self.state.height
        below = (surface.vertices[:, 2] < z)[surface.triangles].any(axis=1)
        used, triangles = np.unique(surface.triangles[below], return_inverse=True)
        points = self.made_of(surface, _thicker)[used]
        points[:, 2] = np.minimum(points[:, 2], z)
        moved = move_points(self.frames.from_entering, points)
        self.painter.sheet("waste", (moved, triangles.reshape(-1, 3)), 0.28)

    def _levels(self) -> tuple[float, float]:
        """Give the lowest and the highest point of the hold as it enters the step; 0 where there is none."""
        surface = self.frames.entering_surface
        return self.made_of(surface, _levels) if surface is not None else (0.0, 0.0)

    def _outline(self, height: float) -> Floats:
        """Give the segments (k, 2, 3) where a cut at some height would be."""
        surface = self.frames.entering_surface
        # A hair above a level bottom there is an outline; on it there is none.
        z = self._levels()[0] + max(height, 1e-3)
        return level_cut(surface, z) if surface is not None else np.zeros((0, 2, 3))

    def _shown(self, height: float) -> Floats:
        """Give them in the frame of what is shown."""
        return move_points(self.frames.from_entering, self._outline(height).reshape(-1, 3)).reshape(-1, 2, 3)

    def _knobs(self) -> tuple[Floats, Floats]:
        """Give the outline's place farthest to the right as it is seen now, and the back's lowest."""
        points = self._shown(self.state.height).reshape(-1, 3)
        lowest = points[int(np.argmax(self.lens.project(points)[:, 1]))]
        return self.rightmost(points), np.asarray(lowest - UP * self.state.rim)


def _thicker(surface: Surface) -> Floats:
    return thicker(surface, THICKER)


def _levels(surface: Surface) -> tuple[float, float]:
    return float(surface.vertices[:, 2].min()), float(surface.vertices[:, 2].max())


@lru_cache(maxsize=8)  # of the cut and the marks, asked for time and again
def level_cut(surface: Surface, z: float) -> Floats:
    """Give the segments (k, 2, 3) at height `z`, mm, of a closed surface; material lies to their left."""
    points, lines = contour(surface.vertices, surface.triangles, surface.vertices[:, 2] - z)
    return np.asarray(points[lines])


def enclosed_area(segments: Floats) -> float:
    """Give what level segments (k, 2, 3) enclose, mm2, holes left out."""
    a, b = np.moveaxis(segments - segments.mean(axis=(0, 1)), 1, 0)
    return float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum() / 2.0)
