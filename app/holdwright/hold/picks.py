"""Putting picked places on the surface as it is now, which may be a revised sculpt's."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.nearest import SurfacePoint, nearest
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import limit_of, new_finding
from holdwright.parameters.kinds import PointPick


@dataclass(frozen=True, eq=False)
class SettledPick:
    """A pick on the surface."""

    point: Floats
    normal: Floats
    """point, normal: (3,) float64, mm and unit outward."""
    findings: tuple[Finding, ...]
    """None, or what the maker should know about how far it moved."""
    place: SurfacePoint
    """The surface point in full."""


def settle(solid: Solid, pick: PointPick, what: str = "pick") -> SettledPick:
    """Put a pick on a solid's surface.

    The nearest surface that faces the pick's way within 60 degrees is taken where there is one within 5 mm,
    so that a pick near a thin edge stays on its own side; else the nearest surface of all. Moving less than
    0.5 mm is silent, more is a warning; more than 5 mm, or onto a surface that faces away, is an error.

    Parameters
    ----------
    solid
        The hold as it enters the step, mm.
    pick
        In the frame of that hold.
    what
        Names the pick in findings: "pick", "pick 2", "tip 3".
    """
    picked = np.array(pick.point, dtype=np.float64)
    length = float(np.linalg.norm(pick.normal))
    facing = np.array(pick.normal, dtype=np.float64) / length if length > 0 else None
    place = nearest(solid, picked, facing) if facing is not None else None
    if place is None or place.distance > limit_of("pick_moved:far"):
        place = nearest(solid, picked)
        assert place is not None  # a solid always has a surface
    return SettledPick(place.point, place.normal, _findings(place, facing, what), place)


def _findings(place: SurfacePoint, facing: Floats | None, what: str) -> tuple[Finding, ...]:
    turned = 0.0
    if facing is not None:
        turned = float(np.degrees(np.arccos(np.clip(place.normal @ facing, -1.0, 1.0))))
    if turned > limit_of("pick_faces_away"):
        return (new_finding("pick_faces_away", turned, where=place.point, what=what),)
    if place.distance <= limit_of("pick_moved"):
        return ()
    code = "pick_moved:far" if place.distance > limit_of("pick_moved:far") else "pick_moved"
    return (new_finding(code, place.distance, where=place.point, what=what),)
