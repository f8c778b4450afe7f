"""What lies under the pointer."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from vtkmodules.vtkCommonCore import mutable
from vtkmodules.vtkCommonDataModel import vtkStaticCellLocator

from holdwright.geometry.arrays import Floats
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.contour import CutPlane
from holdwright.render.polydata import mesh_of


@dataclass(frozen=True, eq=False)
class Pick:
    """A place on a surface."""

    point: Floats
    normal: Floats
    """point and normal: (3,) mm in the frame of what is shown (a part that is lifted is hit where it lies
    at rest), and the unit normal of the face there."""
    part: str
    """Name of the solid or piece."""
    triangle: int = -1
    """Of its surface; -1 on a cut face."""


class Probe:
    """A surface that tells where a line hits it; prepared at the first call.

    Parameters
    ----------
    surface
        Wound outward.
    """

    def __init__(self, surface: Surface) -> None:
        self._surface = surface

    def meet(self, start: Floats, stop: Floats) -> tuple[Floats, int] | None:
        """Give where the way from `start` to `stop` first meets the surface, and in which triangle."""
        place, corner = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
        share, sub, cell = mutable(0.0), mutable(0), mutable(-1)
        hit = self._locator.IntersectWithLine(start, stop, 0.0, share, place, corner, sub, cell)
        return (np.array(place), int(cell)) if hit else None

    def normal(self, triangle: int) -> Floats:
        """Give a triangle's unit normal."""
        first, second, third = self._surface.vertices[self._surface.triangles[triangle]].astype(np.float64)
        normal = np.cross(second - first, third - first)
        return np.asarray(normal / max(float(np.linalg.norm(normal)), 1e-30))

    @cached_property
    def _locator(self) -> Any:  # the drawing library's own types know nothing of the references it fills
        locator = vtkStaticCellLocator()
        locator.SetDataSet(mesh_of(self._surface.vertices, self._surface.triangles))
        locator.BuildLocator()
        return locator


@dataclass(frozen=True, eq=False)
class Target:
    """What a line of sight can hit: a named surface, shown `lift` (3,) mm away from where it lies."""

    name: str
    lift: Floats
    probe: Probe


def first_hit(
    targets: Iterable[Target], start: Floats, direction: Floats, reach: float, section: CutPlane | None
) -> Pick | None:
    """Give what a line of sight hits first.

    Parameters
    ----------
    reach
        How far to look, mm.
    section
        What lies on the side of its normal is cut away and not hit.
    """
    best, nearest = None, np.inf
    for target in targets:
        hit = _hit(target, start, direction, reach, section)
        far = float((hit.point + target.lift - start) @ direction) if hit else np.inf
        if far < nearest:
            best, nearest = hit, far
    return best


def _hit(
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
        if low > 0 >= high:
            begin, opens = begin + (end - begin) * (low / (low - high)), True
        elif high > 0 >= low:
            end = begin + (end - begin) * (low / (low - high))
    hit = target.probe.meet(begin, end)
    if hit is None:
        return None
    place, triangle = hit
    normal = target.probe.normal(triangle)
    if opens and section is not None and float(normal @ direction) > 0:
        # The first thing hit is the inside of the far side: the line entered through the cap.
        return Pick(begin, section.normal, target.name)
    return Pick(place, normal, target.name, triangle)
