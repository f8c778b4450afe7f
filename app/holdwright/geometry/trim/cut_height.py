"""Finding the height at which a hold's back is best cut."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType

from holdwright.geometry.measure.sections import Outlines, outer, section, signed_area
from holdwright.geometry.mesh.solid import Solid

SPECK = 1.0
"""Outlines of less than this many mm2 are specks: neither counted nor given a rim."""

_STEPS = 64
_REACH = 0.5
_RESOLUTION = 0.02
_SPECK_SHARE = 1e-3
_LOBE_SHARE = 0.02
_NECK = 2.0
_NEARLY_BEST = 0.97
_MOST_FOR_RIM = 0.75
_FEWER = 12
_STILL = 0.5


@dataclass(frozen=True)
class BackHeight:
    """A height to cut at."""

    z: float
    """mm."""
    cover: float
    """Area within the largest outline there, as a share of the area within the silhouette's."""
    outlines: int
    """Number of separate outlines there, specks not counted."""
    complete: bool
    """Whether it is one outline of the share required."""


def back_height(solid: Solid, share: float, floor: float, above: float = 0.0) -> BackHeight:
    """Find the lowest height whose section is one outline that covers `share` of the silhouette.

    Parameters
    ----------
    solid
        Back toward -z, mm.
    share
        Of the area within the silhouette along z, 0 to 1. Holes count as covered: a hollow back is one.
    floor
        Lowest z to look at; the upper half above it is not looked at, so that no more than that is lost.
    above
        The cut shall lie this far above the floor, mm, so that a rim ends there; less where the
        hold is too thin for that, or falls apart at that height or dwindles.

    Returns
    -------
    BackHeight
        To 0.02 mm. What hangs together by a neck of less than 2 mm is not one outline. Where no height will
        do: the lowest whose largest outline is within 3 % of the best tried, with `complete` False.
    """
    silhouette = silhouette_area(solid)
    top = float(solid.bounds[1, 2])
    found = _lowest(solid, share, floor, silhouette)
    raised = min(floor + above, floor + _MOST_FOR_RIM * (top - floor))
    if raised <= found.z:
        return found
    for z in np.linspace(raised, found.z, _FEWER, endpoint=False):
        here = _at(solid, float(z), silhouette, share)
        if here.complete or (not found.complete and _worth(here) >= _STILL * _worth(found)):
            return _moved(found, float(z))
    return found


def _lowest(solid: Solid, share: float, floor: float, silhouette: float) -> BackHeight:
    tried: list[BackHeight] = []
    for z in _heights(floor, float(solid.bounds[1, 2])):
        here = _at(solid, z, silhouette, share)
        if here.complete:
            return _refined(solid, tried[-1].z, here, silhouette, share) if tried else _moved(here, floor)
        tried.append(here)
    best = max(_worth(each) for each in tried)
    return next(each for each in tried if _worth(each) >= _NEARLY_BEST * best)


def silhouette_area(solid: Solid) -> float:
    """Area within the outer outlines of the solid's shadow along z, mm2."""
    outlines = [np.asarray(outline) for outline in solid.kernel.project().to_polygons()]
    return sum(signed_area(outline) for outline in outer(outlines))


def _heights(floor: float, top: float) -> Iterator[float]:
    """Heights to try, from just above the floor upward, close together at first."""
    reach = _REACH * (top - floor)
    for step in range(_STEPS + 1):
        yield floor + max(reach * (step / _STEPS) ** 1.5, min(0.01, 1e-3 * reach))


def _at(solid: Solid, z: float, silhouette: float, share: float) -> BackHeight:
    outlines = outer(section(solid, z))
    areas = sorted((signed_area(outline) for outline in outlines), reverse=True)
    if not areas:
        return BackHeight(z, 0.0, 0, False)
    count = sum(area >= max(SPECK, _SPECK_SHARE * areas[0]) for area in areas)
    cover = areas[0] / silhouette
    if count == 1 and cover >= share:
        count = _parts(outlines)
    return BackHeight(z, cover, count, count == 1 and cover >= share)


def _parts(outlines: Outlines) -> int:
    """Count what outlines fall into where they hang together by less than 2 mm; small lobes do not count."""
    drawn_in = CrossSection(outlines, FillRule.NonZero).offset(
        -_NECK / 2, JoinType.Round, circular_segments=16
    )
    areas = [part.area() for part in drawn_in.decompose()]
    return sum(area >= max(SPECK, _LOBE_SHARE * max(areas)) for area in areas) if areas else 1


def _refined(solid: Solid, below: float, found: BackHeight, silhouette: float, share: float) -> BackHeight:
    """Halve the way between a height that will not do and one that will."""
    while found.z - below > _RESOLUTION:
        middle = _at(solid, (below + found.z) / 2, silhouette, share)
        if middle.complete:
            found = middle
        else:
            below = middle.z
    return found


def _moved(here: BackHeight, z: float) -> BackHeight:
    return BackHeight(z, here.cover, here.outlines, here.complete)


def _worth(height: BackHeight) -> float:
    """Rate a height by the share it covers, less where that is in several parts."""
    return height.cover / float(np.sqrt(max(height.outlines, 1)))
