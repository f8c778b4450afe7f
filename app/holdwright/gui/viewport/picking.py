"""What lies under the pointer."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from vtkmodules.vtkCommonCore import mutable
from vtkmodules.vtkCommonDataModel import vtkStaticCellLocator

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.polydata import mesh_of
from holdwright.pipeline.display_results import Surface


@dataclass(frozen=True, eq=False)
class Pick:
    """A place on a surface.

    Attributes
    ----------
    point, normal
        (3,) mm in the frame of what is shown (a part that is lifted is met where it lies at rest), and the
        unit normal of the face there.
    part
        Name of the solid or piece.
    triangle
        Which of its triangles; -1 on the cap of a section.
    """

    point: Floats
    normal: Floats
    part: str
    triangle: int


@dataclass(frozen=True, eq=False)
class CutPlane:
    """A plane: (3,) origin in mm and (3,) unit normal."""

    origin: Floats
    normal: Floats

    def height(self, place: Floats) -> float:
        """Give a point's height above the plane."""
        return float((place - self.origin) @ self.normal)

    def moved(self, by: Floats) -> "CutPlane":
        """Give the plane after a shift."""
        return CutPlane(self.origin + by, self.normal)


class Probe:
    """A surface that answers where a line meets it; prepared when first asked.

    Parameters
    ----------
    surface
        Wound outward.
    """

    def __init__(self, surface: Surface) -> None:
        self._surface = surface
        # The drawing library's own types know nothing of the references it answers in.
        self._locator: Any = None

    def meet(self, start: Floats, stop: Floats) -> tuple[Floats, int] | None:
        """Give where the way from `start` to `stop` first meets the surface, and in which triangle."""
        if self._locator is None:
            self._locator = self._prepared()
        place, corner = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
        share, sub, cell = mutable(0.0), mutable(0), mutable(-1)
        met = self._locator.IntersectWithLine(start, stop, 0.0, share, place, corner, sub, cell)
        return (np.array(place), int(cell)) if met else None

    def normal(self, triangle: int) -> Floats:
        """Give a triangle's unit normal."""
        first, second, third = self._surface.vertices[self._surface.triangles[triangle]].astype(np.float64)
        normal = np.cross(second - first, third - first)
        return np.asarray(normal / max(float(np.linalg.norm(normal)), 1e-30))

    def _prepared(self) -> Any:
        locator = vtkStaticCellLocator()
        locator.SetDataSet(mesh_of(self._surface.vertices, self._surface.triangles))
        locator.BuildLocator()
        return locator


@dataclass(frozen=True, eq=False)
class Target:
    """What can be met by a line of sight: a named surface, shown `lift` (3,) mm away from where it lies."""

    name: str
    lift: Floats
    probe: Probe


def first_met(
    targets: Iterable[Target], start: Floats, direction: Floats, reach: float, section: CutPlane | None
) -> Pick | None:
    """Give what a line of sight meets first.

    Parameters
    ----------
    reach
        How far to look, mm.
    section
        What lies on the side of its normal is cut away and not met.
    """
    best: tuple[float, Pick] | None = None
    for target in targets:
        met = _met(target, start, direction, reach, section)
        if met is not None:
            far = float((met.point + target.lift - start) @ direction)
            if best is None or far < best[0]:
                best = (far, met)
    return best[1] if best else None


def _met(
    target: Target, start: Floats, direction: Floats, reach: float, section: CutPlane | None
) -> Pick | None:
    begin = start - target.lift
    end = begin + direction * reach
    opens = False
    if section is not None:
        plane = section.moved(-target.lift)
        low, high = plane.height(begin), plane.height(end)
        if low > 0 and high > 0:
            return None
        if low > 0 > high:
            begin, opens = begin + (end - begin) * (low / (low - high)), True
        elif high > 0 > low:
            end = begin + (end - begin) * (low / (low - high))
    met = target.probe.meet(begin, end)
    if met is None:
        return None
    place, triangle = met
    normal = target.probe.normal(triangle)
    if opens and section is not None and float(normal @ direction) > 0:
        # The first thing met is the inside of the far wall: the line entered through the cap.
        return Pick(begin, section.normal, target.name, -1)
    return Pick(place, normal, target.name, triangle)
