"""The core's cone: drag its foot and its top wider or narrower, and its top higher or lower."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frustum import Frustum
from holdwright.gui.handles.collar_rings import NO_COLLARS, CollarRings
from holdwright.gui.handles.grip import Grip
from holdwright.gui.handles.pointer_projection import on_level
from holdwright.gui.handles.shapes import SIDES, ring
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.cut_surfaces import hold_surface
from holdwright.hold.feature import Bore, Feature, PartingFace
from holdwright.operations.split_core import SplitCoreParameters
from holdwright.pipeline.views.display_results import Surface


@dataclass(frozen=True)
class Cone:
    """One core."""

    x: float
    y: float
    axis: tuple[float, float, float]
    """x, y and axis: foot on the finished back, and unit vector off the wall."""
    wall: float
    top: float
    """wall and top: diameters, mm."""
    height: float
    """Of the top along the axis, mm."""
    seat: float
    """Height of the bolt's seat along the axis; 0 where the core stands round no bore."""

    @property
    def foot(self) -> Floats:
        """(3,) on the finished back."""
        return np.array([self.x, self.y, 0.0])

    @property
    def ends_at_seat(self) -> bool:
        """Whether it stands within its bore's pocket, so that its top is the seat."""
        return self.seat > 0.0 and self.height <= self.seat + 1e-6

    @property
    def head(self) -> Floats:
        """(3,) middle of the top."""
        return self.foot + self.height * np.array(self.axis)

    def ring(self, name: str) -> Floats:
        """Give the edge of its foot ("wall") or of its top ("top") as a closed polyline."""
        centre, diameter = (self.foot, self.wall) if name == "wall" else (self.head, self.top)
        return ring(centre, np.array(self.axis), diameter / 2)


@dataclass(frozen=True)
class Cones:
    """The cores, the one taken hold of first in `chosen`; and what of them is for the recipe."""

    cones: tuple[Cone, ...] = ()
    along: str = "bores"
    collars: CollarRings = NO_COLLARS


class CoreHandles(StepHandles[Cones]):
    """Draws each core's cone with a ring at its foot and one at its top."""

    operation = "split_core"

    values: SplitCoreParameters

    def read(self) -> Cones:
        """Take the cores from what the step gave, with the sizes the recipe asks for."""
        values = self.values
        collars = CollarRings.of(self._own_features(), values.collar_diameter)
        if values.along == "point":
            x, y = values.at
            made = self._faces()
            wall = values.wall_diameter or (made[0].wall_diameter if made else 40.0)
            top = values.top_diameter or (made[0].top_diameter if made else wall)
            return Cones((Cone(x, y, (0.0, 0.0, 1.0), wall, top, values.height, 0.0),), "point", collars)
        return Cones(tuple(self._cone(face) for face in self._faces()), "bores", collars)

    def grips(self) -> Sequence[Grip]:
        """Give both rings of every core, with a knob on each, and the middle of its top."""
        found: list[Grip] = []
        for number, cone in enumerate(self.state.cones):
            if not cone.ends_at_seat:
                found.append(Grip(f"height {number}", cone.head[None], Qt.CursorShape.SizeVerCursor))
            if self.state.along == "point":
                found.append(Grip(f"at {number}", cone.foot[None], Qt.CursorShape.SizeAllCursor))
            for name in ("wall", "top"):
                line = cone.ring(name)
                knob = self.rightmost(line)[None]
                found += [Grip(f"{name} {number}", points, _SIZE) for points in (knob, line)]
        collars, feet = self.state.collars, self.state.collars.rings("foot")
        left = collars.left_by(self.viewport.section)
        return [*found, *(Grip(f"collar {number}", feet[number], _SIZE) for number in left)]

    def drag(self, grip: Grip, event: ToolEvent) -> None:
        """Follow the pointer with a diameter, the height or the place."""
        if self.before is None:
            return
        name, number = grip.name.split()
        if name == "collar":
            size = min(self._across(event, self.before.collars.foot(int(number))), 200.0)
            self.state = replace(self.before, collars=self.before.collars.sized(size))
            return
        cone = self.before.cones[int(number)]
        if name in ("wall", "top"):
            size = self._across(event, cone.foot if name == "wall" else cone.head)
            # The diameters the pointer can give, mm.
            size = float(np.clip(size, 4.0, 1000.0))
            cone = self._sized(cone, name, size)
        elif name == "height":
            cone = self._raised(cone, event)
        else:
            place = on_level(event.ray(), cone.foot)
            x, y = (self.snapped(float(part), 0.1, event) for part in place[:2])
            cone = replace(cone, x=x, y=y)
        cones = list(self.before.cones)
        cones[int(number)] = cone
        self.state = replace(self.before, cones=tuple(cones))

    def drop(self, grip: Grip) -> Mapping[str, Any]:
        """Edit what was dragged."""
        name, number = grip.name.split()
        if name == "collar":
            return {"collar_diameter": self.state.collars.collars[0].diameter}
        cone = self.state.cones[int(number)]
        match name:
            case "wall":
                return {"wall_diameter": cone.wall}
            case "top":
                return {"top_diameter": cone.top}
            case "at":
                return {"at": (cone.x, cone.y)}
        if self.state.along == "point":
            return {"height": cone.height}
        return {"above_seat": round(cone.height - cone.seat, 4)}

    def draw(self) -> None:
        """Draw the cones with the figures of what is under the pointer."""
        self.state.collars.draw(self.painter, self.hot, self.viewport.section)
        if self.hot.startswith("collar"):
            foot = self.state.collars.rings("foot")[int(self.hot.split()[1])]
            across = self.text(self.state.collars.collars[0].diameter)
            self.painter.label("collar", self.rightmost(foot), f"collars ⌀ {across}", (66.0, 0.0))
        for number, cone in enumerate(self.state.cones):
            if self.hot.endswith(f" {number}"):
                self._draw_staves(number, cone)
            for name in ("wall", "top"):
                hot = self.hot == f"{name} {number}"
                line = cone.ring(name)
                self.painter.line(f"{name} {number}", line, hot=hot, through=True)
                spot = self.rightmost(line)
                self.painter.knob(f"{name} {number}", spot, hot=hot)
                size = cone.wall if name == "wall" else cone.top
                text = f"⌀ {self.text(size)}"
                # Seen from the front both knobs lie side by side: one figure goes above, the other below.
                shift = (58.0, 14.0 if name == "wall" else -14.0)
                text = self._with_shell(text, cone, hot=hot)
                self.painter.label(f"{name} {number}", spot, text, shift)
            hot = self.hot == f"height {number}"
            self.painter.quiet_line(f"axis {number}", np.array([cone.foot, cone.head]), over=True)
            if not cone.ends_at_seat:
                self.painter.knob(f"height {number}", cone.head, hot=hot, filled=False)
            if self.state.along == "point":
                self.painter.knob(f"at {number}", cone.foot, hot=self.hot == f"at {number}", filled=False)
            if hot:
                self.painter.label(f"height {number}", cone.head, self._height_text(cone))

    def _draw_staves(self, number: int, cone: Cone) -> None:
        # Every so manieth side a line is drawn along the cone.
        foot, head = (cone.ring(name)[: -1 : SIDES // 12] for name in ("wall", "top"))
        self.painter.line(f"staves {number}", np.stack([foot, head], axis=1), width=0.6, through=True)

    def _height_text(self, cone: Cone) -> str:
        if not cone.seat:
            return f"{self.text(cone.height)} high"
        return f"{self.text(cone.height - cone.seat)} above the seat"

    def _with_shell(self, text: str, cone: Cone, *, hot: bool) -> str:
        """Put the least shell round a core behind its figure while it is dragged."""
        if not hot or not self.dragged:
            return text
        shell = self._least_shell(cone)
        return text if shell is None else f"{text}\nshell {self.text(max(shell, 0.0))}"

    def _sized(self, cone: Cone, name: str, size: float) -> Cone:
        """Give a core with another diameter; its foot is never narrower than its top."""
        if name == "wall":
            return replace(cone, wall=max(size, cone.top))
        return replace(cone, top=min(size, cone.wall))

    def _raised(self, cone: Cone, event: ToolEvent) -> Cone:
        """Give a core with its top higher or lower; round a bore it is measured from the seat."""
        way = self.travel(event, np.array(cone.axis))
        if cone.seat:
            above = self.snapped(cone.height - cone.seat + way, 0.5, event)
            return replace(cone, height=cone.seat + float(np.clip(above, 0.2, 100.0)))
        height = self.snapped(cone.height + way, 0.5, event)
        return replace(cone, height=float(np.clip(height, 1.0, 500.0)))

    def _across(self, event: ToolEvent, middle: Floats) -> float:
        """Give the diameter, on whole steps, of the level circle round a place through the pointer."""
        away = float(np.linalg.norm(on_level(event.ray(), middle) - middle))
        return self.snapped(2.0 * away, 0.5, event)

    def _own_features(self) -> tuple[Feature, ...]:
        """Give what the step itself gave, nothing where its result is not what is shown."""
        return self._shown_features() if self.frames.own else ()

    def _shown_features(self) -> tuple[Feature, ...]:
        return self.frames.shown.features if self.frames.shown else ()

    def _faces(self) -> list[PartingFace]:
        return [each for each in self._own_features() if isinstance(each, PartingFace)]

    def _cone(self, face: PartingFace) -> Cone:
        """Give a core as it was made, and as far as the recipe says since as it will be."""
        values, bores = self.values, [each for each in self._shown_features() if isinstance(each, Bore)]
        bore = next((each for each in bores if (each.x, each.y) == (face.x, face.y)), None)
        seat = bore.seat_z / bore.axis[2] if bore else 0.0
        cone = Cone(face.x, face.y, face.axis, face.wall_diameter, face.top_diameter, face.top, seat)
        if self.document.is_current(self.step_id):
            return cone
        height = seat + values.above_seat if seat and face.top > seat else face.top
        wall, top = values.wall_diameter or cone.wall, values.top_diameter or cone.top
        return replace(cone, wall=wall, top=min(top, wall), height=height)

    def _least_shell(self, cone: Cone) -> float | None:
        """Give the least distance from a core to grip surface and rim, about, mm."""
        surface = self.frames.entering_surface
        points = None if surface is None else self.made_of(surface, self._grip)
        if points is None or not len(points):
            return None
        frustum = Frustum(
            (cone.x, cone.y, 0.0), cone.axis, cone.wall / 2, cone.top / 2, max(cone.height, 1e-3), -1.0
        )
        return float(frustum.distance(points).min())

    def _grip(self, surface: Surface) -> Floats:
        """Give the points (n, 3) of grip surface and rim."""
        mesh = surface.mesh
        parts = hold_surface(mesh, self._shown_features()).grip()
        return np.asarray(mesh.vertices[np.unique(np.concatenate([part.triangles for part in parts]))])


_SIZE: Final = Qt.CursorShape.SizeHorCursor
