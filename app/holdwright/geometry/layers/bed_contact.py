"""How a print stands on the bed: how far its base reaches, and what stands over its corners."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, JoinType, OpType

from holdwright.geometry.arrays import Floats
from holdwright.geometry.layers.layer_stack import polygons
from holdwright.geometry.layers.outline_corners import Corner, outline_corners
from holdwright.geometry.measure.columns import Grid, columns
from holdwright.geometry.measure.sections import Outlines, centroid, inside, signed_area
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

AROUND = 20.0
"""What stands within this of a corner stands over it, mm: our choice."""

_STEP, _GAP = 2.0, 0.01


@dataclass(frozen=True, eq=False)
class LiftPlace:
    """A corner of the base, or the place of it farthest out, which lifts where it has no corner."""

    place: Floats
    """(2,) mm."""
    corner: Corner | None
    arm: float
    """Distance from the middle of the base, mm."""
    volume: float
    """Of the print within `AROUND` of it, mm3."""
    height: float
    """That volume over the area of the base there, mm."""


@dataclass(frozen=True, eq=False)
class BedContact:
    """How a print stands on the bed."""

    area: float
    """mm2."""
    longest: float
    """Greatest distance within the base, mm."""
    places: tuple[LiftPlace, ...]
    """The one farthest out first."""


def base_outlines(parts: Sequence[Solid], height: float) -> Outlines:
    """Give the closed outlines of parts that are printed as one, at a height: no gaps between them."""
    sections = [part.kernel.slice(height) for part in parts]
    joined = CrossSection.batch_boolean(sections, OpType.Add)
    if len(parts) > 1:
        joined = joined.offset(_GAP, JoinType.Miter).offset(-_GAP, JoinType.Miter)
    return polygons(joined)


def bed_contact(surface: Mesh, base: Outlines) -> BedContact:
    """Measure how a print stands on the bed.

    Parameters
    ----------
    surface
        Of all its parts, closed, wound outward, as they lie on the bed, z up, mm.
    base
        Closed outlines (n, 2) of its lowest layer, material to their left; at least one.
    """
    areas = np.array([signed_area(outline) for outline in base])
    middle = areas @ np.array([centroid(outline) for outline in base]) / areas.sum()
    hull = np.asarray(CrossSection.hull_points(np.concatenate(base)).to_polygons()[0], dtype=np.float64)
    longest = float(np.hypot(*(hull[:, None] - hull[None]).transpose(2, 0, 1)).max())
    corners = outline_corners(base)
    places: list[tuple[Floats, Corner | None]] = [(corner.place, corner) for corner in corners]
    farthest = hull[int(np.argmax(np.hypot(*(hull - middle).T)))]
    if all(np.hypot(*(farthest - place)) > AROUND / 2.0 for place, _ in places):
        places.append((farthest, None))
    volumes, heights = _over(surface, base, np.array([place for place, _ in places]))
    found = [
        LiftPlace(place, corner, float(np.hypot(*(place - middle))), float(volume), float(height))
        for (place, corner), volume, height in zip(places, volumes, heights, strict=True)
    ]
    found.sort(key=lambda each: (-round(each.arm, 3), *each.place))
    return BedContact(float(areas.sum()), longest, tuple(found))


def _over(surface: Mesh, base: Outlines, places: Floats) -> tuple[Floats, Floats]:
    """Give the volume of a solid near each place (k, 2), and that over the area of its base there."""
    low, high = surface.bounds[:, :2]
    grid = Grid.over(low, high, _STEP)
    found = columns(surface, grid)
    points = np.column_stack([each.reshape(-1) for each in grid.places])
    lengths = np.bincount(found.cell, found.high - found.low, len(points))
    near = np.hypot(*(points[None] - places[:, None]).transpose(2, 0, 1)) <= AROUND
    volumes = near @ lengths * _STEP**2
    bases = np.maximum((near & inside(points, base)).sum(axis=1), 1) * _STEP**2
    return volumes, volumes / bases
