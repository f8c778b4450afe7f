"""How the parts lie in their files: on the printer's bed, or as on the wall."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from holdwright.catalogue.machines import Machine
from holdwright.field_texts import add_field_texts
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.bed_fit import turn_to_fit
from holdwright.geometry.mesh.frame import move_points, placement
from holdwright.hold.finding import Point, point

PoseName = Literal["print", "wall"]


@dataclass(frozen=True)
class ExportPose:
    """Where the files have the parts, all in one frame, mm."""

    __pydantic_config__: ClassVar = {"json_schema_extra": add_field_texts}

    name: PoseName
    """print: the back on the bed, z = 0 at the lowest point, in the middle of the bed. wall: as on the
    wall."""
    turn: Annotated[float, Field(description="About the normal of the wall, degrees, counter-clockwise.")]
    shift: Annotated[Point, Field(description="Added after the turn.")]
    size: Annotated[Point, Field(description="Extent along x, y and z as they lie, print size.")]
    printer: str = ""
    """Name of the catalogue row of the printer whose bed it is; blank for the wall."""
    build_volume: Point | None = None
    fits: bool | None = None
    """build_volume, fits: the printer's, and whether the parts lie within it; null for the wall."""

    @property
    def matrix(self) -> Floats:
        """(4, 4) from print size in the frame of the hold."""
        return placement(_turned(self.turn), np.array(self.shift))

    @property
    def in_words(self) -> str:
        """As a clause."""
        if self.build_volume is None:
            return "as on the wall"
        turned = f", turned by {self.turn:.1f} degrees" if self.turn else ""
        larger = "" if self.fits else ", larger than it builds"
        return f"back on the bed of '{self.printer}'{turned}{larger}"


def wall_pose(points: Iterable[Floats]) -> ExportPose:
    """Leave the parts as on the wall; (n, 3) points of each, print size, mm."""
    return ExportPose("wall", 0.0, (0.0, 0.0, 0.0), point(np.ptp(np.concatenate(list(points)), axis=0)))


def print_pose(points: Iterable[Floats], machine: Machine) -> ExportPose:
    """Lay the parts on a printer's bed; (n, 3) points of each, print size, mm."""
    corners = np.concatenate(list(points))
    best = turn_to_fit(corners[:, :2], machine.volume[:2])
    turn = best.turn if best.spare >= 0.0 else 0.0  # what fits at no turn lies as on the wall
    moved = move_points(placement(_turned(turn)), corners)
    low, high = moved.min(axis=0), moved.max(axis=0)
    middle = np.array([machine.volume[0] / 2.0, machine.volume[1] / 2.0, 0.0])
    foot = np.array([*(low + high)[:2] / 2.0, low[2]])
    size = high - low
    fits = bool((size <= np.array(machine.volume) + 1e-6).all())
    return ExportPose("print", turn, point(middle - foot), point(size), machine.name, machine.volume, fits)


def _turned(degrees: float) -> Floats:
    angle = np.radians(degrees)
    cos, sin = np.cos(angle), np.sin(angle)
    return np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
