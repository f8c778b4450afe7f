"""Where bores and screw holes go and how they lean: drag ring and knob over the hold; a bore's seat too."""

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import lean
from holdwright.gui.handles import hole_shapes
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.hole_handles import HoleHandles, Placement
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import Bore, ScrewHole
from holdwright.operations.cut_bore import CutBore
from holdwright.operations.cut_screw_hole import CutScrewHole
from holdwright.operations.hole_step import SeatedHole

LEAST_UNDER: Final = 0.5
"""The pointer sets no seat nearer to the back than this, mm."""
MOST_TILT: Final = 15.0
TILT_STEP, TOWARD_STEP = 0.5, 5.0
"""Degrees; with Alt held, a tenth."""
ARM: Final = 60.0
"""The knob that leans the axis goes as far outward as an axis this long leans, mm."""
CLEAR: Final = 8.0
"""Of the pocket's edge, while the axis is upright, mm."""
STRAIGHT_UP: Final = 90.0
"""Where the knob of an upright axis is, degrees on the wall."""
STEEPEST_SCREW: Final = 45.0
UPRIGHT_SCREW: Final = 1.5
"""The most that a screw leans, degrees; leaning less than the lesser it stands upright."""
STEM: Final = 22.0
"""Length of the axis drawn out of the hold, by the end of which it is leaned, mm."""


class BoreHandles(HoleHandles):
    """Draws the cutters of the bores where they go, each with its seat."""

    operation = "cut_bore"
    step_operation = CutBore()
    feature = Bore
    opacity = (0.0, 0.30)

    def hole_grips(self, seated: SeatedHole) -> Sequence[Grip]:
        """Give ring and seat, each with its knob."""
        up_down = Qt.CursorShape.SizeVerCursor
        knob, ring = super().hole_grips(seated)
        seat = hole_shapes.seat_ring(seated)
        return (knob, Grip("seat", self._seat_knob(seat)[None], up_down), ring, Grip("seat", seat, up_down))

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Move the bores, lean them, or move their seats along the axis."""
        if grip.name != "seat":
            super().drag(grip, event)
        elif self.before is not None and self.held is not None:
            self._drag_seat(self.before, self.held.place, event)

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit the place, the seats or the lean."""
        if self.state is None or grip.name != "seat":
            return super().drop(grip)
        values = self.state.values
        if values.seat == "thickness":
            return {"under_seat": values.under_seat}
        return {"seat": "depth", "depth": values.depth}

    def draw_hole(self, seated: SeatedHole, which: str) -> None:
        """Draw a bore with the thickness under its seat."""
        super().draw_hole(seated, which)
        painter, hot, ring = self.painter, self.hot == "seat", hole_shapes.seat_ring(seated)
        knob = self._seat_knob(ring)
        painter.line(f"seat{which}", ring, width=1.2, hot=hot, through=True)
        painter.knob(f"seat{which}", knob, hot=hot, filled=False)
        text = f"seat {self.text(seated.under)}" if seated.under > 0.0 else "no seat here"
        text += "" if seated.whole or not seated.under else ", breaks out"
        painter.label(f"thickness{which}", knob, text, (60.0, 0.0))

    def lean_text(self, state: Placement) -> str:
        """Say how far the axis leans, while it does or the knob is under the pointer."""
        tilt = state.values.tilt
        return f"leans {tilt:g}°" if self.hot == "lean" or tilt else ""

    def lean_knob(self, state: Placement) -> Floats:
        """Give the knob's place (3,): pushed outward from the bore, the head leans that way."""
        tilt, first = state.values.tilt, state.holes[0]
        return lean_knob(hole_shapes.top(first), first.hole.pocket_radius, tilt, state.values.toward)

    def leaned(self, before: Placement, knob: Floats, *, free: bool) -> tuple[float, float]:
        """Lean as far as the knob is pushed outward."""
        first = before.holes[0]
        angles = lean_of(knob, hole_shapes.top(first), first.hole.pocket_radius, MOST_TILT)
        steps = (0.1, 0.1) if free else (TILT_STEP, TOWARD_STEP)
        tilt, toward = (round(round(each / step) * step, 4) for each, step in zip(angles, steps, strict=True))
        return tilt, toward if tilt else before.values.toward

    def _drag_seat(self, before: Placement, taken: Floats, event: ToolEvent) -> None:
        """Set the thickness where that is requested, else the depth below the surface on the axis."""
        rings = [hole_shapes.seat_ring(each) - taken for each in before.holes]
        bore = before.holes[int(np.argmin([np.linalg.norm(ring, axis=1).min() for ring in rings]))]
        seat, surface = bore.hole.seat, hole_shapes.surface_height(bore)
        underside = seat - bore.under
        least, most = underside + LEAST_UNDER, max(surface - LEAST_UNDER, underside + 2 * LEAST_UNDER)
        moved = float(np.clip(seat + self.travel(event, np.array(bore.hole.axis)), least, most))
        if before.values.seat == "thickness":
            under = max(self.snapped(moved - underside, 0.5, event), LEAST_UNDER)
            self._change(before, under_seat=under)
        else:
            depth = max(self.snapped(surface - moved, 0.5, event), LEAST_UNDER)
            self._change(before, seat="depth", depth=depth)

    def _seat_knob(self, ring: Floats) -> Floats:
        """Give the place of the seat's edge farthest to the right as it is seen now."""
        return np.asarray(ring[int(np.argmax(self.lens.project(ring)[:, 0]))])


class ScrewHandles(HoleHandles):
    """Draws the cutter of a screw hole where it goes, with its axis standing out of the hold."""

    operation = "cut_screw_hole"
    step_operation = CutScrewHole()
    feature = ScrewHole
    opacity = (0.18, 0.34)
    lean_fixes_place = True

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

    def lean_text(self, state: Placement) -> str:
        """Say how the axis leans, while its end is under the pointer."""
        tilt, toward = state.values.tilt, state.values.toward
        text = f"leans {tilt:.0f}° toward {toward:.0f}°" if tilt else "upright"
        return text if self.hot == "lean" else ""

    def lean_knob(self, state: Placement) -> Floats:
        """Give the end of the axis (3,) beyond the surface."""
        (seated,) = state.holes
        return np.asarray(hole_shapes.top(seated) + STEM * np.array(seated.hole.axis))

    def leaned(self, before: Placement, knob: Floats, *, free: bool) -> tuple[float, float]:
        """Lean the screw about its foot so that its axis goes through the knob."""
        x, y, z = knob - before.holes[0].hole.foot
        tilt = min(float(np.degrees(np.arctan2(np.hypot(x, y), max(z, 1e-6)))), STEEPEST_SCREW)
        toward, digits = float(np.degrees(np.arctan2(y, x))), 1 if free else 0
        return (round(tilt, digits), round(toward, digits)) if tilt >= UPRIGHT_SCREW else (0.0, 0.0)


def lean_knob(top: Floats, radius: float, tilt: float, toward: float) -> Floats:
    """Give the knob's place (3,) from where the axis leaves the hold, the pocket's radius and the lean."""
    way = math.radians(toward if tilt else STRAIGHT_UP)
    far = radius + CLEAR + ARM * math.tan(math.radians(tilt))
    return np.asarray(top + far * np.array([math.cos(way), math.sin(way), 0.0]))


def lean_of(knob: Floats, top: Floats, radius: float, most: float) -> tuple[float, float]:
    """Give tilt, up to `most`, and direction, degrees, for a place of the knob on the level of `top`."""
    x, y = (knob - top)[:2].tolist()
    outward = max(math.hypot(x, y) - radius - CLEAR, 0.0)
    return min(math.degrees(math.atan(outward / ARM)), most), math.degrees(math.atan2(y, x))
