"""Where a screw goes and how it leans: drag its ring over the hold, its axis by the end of it."""

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import lean
from holdwright.gui.handles import hole_shapes
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.hole_handles import HoleHandles, Placement
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import ScrewHole
from holdwright.operations.cut_screw_hole import CutScrewHole
from holdwright.operations.hole_step import SeatedHole

STEEPEST: Final = 45.0
UPRIGHT: Final = 1.5
"""The most that a screw leans, degrees; leaning less than the lesser it stands upright."""

STEM: Final = 22.0
"""Length of the axis drawn out of the hold, by the end of which it is leaned, mm."""


class ScrewHandles(HoleHandles):
    """Draws the cutter of a screw hole where it goes, with its axis standing out of the hold."""

    operation = "cut_screw_hole"
    step_operation = CutScrewHole()
    feature = ScrewHole
    opacity = (0.18, 0.34)

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit the place, and with the lean fix it: a search would set a leaning screw elsewhere."""
        if self.state is None or grip.name != "lean":
            return super().drop(grip)
        values = self.state.values
        return {**super().drop(grip), "tilt": values.tilt, "toward": values.toward}

    def wants_click(self, event: ToolEvent) -> bool:
        """Take clicks on the hold with Shift: the head goes there."""
        shift = bool(event.modifiers & Qt.KeyboardModifier.ShiftModifier)
        return shift and self.step is not None and event.pick() is not None

    def click(self, event: ToolEvent) -> None:
        """Put the head where the hold was clicked."""
        pick = event.pick()
        if pick is None:
            return
        values = self.values
        place = np.array(self.frames.pick(pick.point, pick.normal).point)
        axis = np.array(lean(values.tilt, values.toward))
        foot = place - axis * (place[2] / axis[2])
        x, y = self.on_back(float(foot[0]), float(foot[1]))
        self.edit({"place": "at", "at": (round(x, 2) + 0.0, round(y, 2) + 0.0)})

    def draw_hole(self, seated: SeatedHole, which: str) -> None:
        """Draw the hole with the thickness under the head."""
        super().draw_hole(seated, which)
        text = f"{self.text(seated.under)} under the head" if seated.under else "no room for the head"
        self.painter.label("thickness", hole_shapes.top(seated), text, (66.0, 14.0))

    def draw_lean(self, state: Placement) -> None:
        """Draw the end of the axis, and while it is under the pointer how the axis leans."""
        super().draw_lean(state)
        if self.hot == "lean":
            tilt, toward = state.values.tilt, state.values.toward
            text = f"leans {tilt:.0f}° toward {toward:.0f}°" if tilt else "upright"
            self.painter.label("angle", self.lean_knob(state), text)

    def lean_knob(self, state: Placement) -> Floats:
        """Give the end of the axis (3,) beyond the surface."""
        (seated,) = state.holes
        return np.asarray(hole_shapes.top(seated) + STEM * np.array(seated.hole.axis))

    def leaned(self, before: Placement, knob: Floats, *, free: bool) -> tuple[float, float]:
        """Lean the screw about its foot so that its axis goes through the knob."""
        x, y, z = knob - before.holes[0].hole.foot
        tilt = min(float(np.degrees(np.arctan2(np.hypot(x, y), max(z, 1e-6)))), STEEPEST)
        toward, digits = float(np.degrees(np.arctan2(y, x))), 1 if free else 0
        return (round(tilt, digits), round(toward, digits)) if tilt >= UPRIGHT else (0.0, 0.0)
