"""The size of a hold."""

from dataclasses import dataclass

from holdwright.hold.finding import Point, point
from holdwright.hold.hold import Hold


@dataclass(frozen=True)
class HoldMeasures:
    """Size of a hold, its parts taken together."""

    volume_mm3: float
    """Sum over its solids."""
    bounds_mm: tuple[Point, Point]
    """Least and greatest corner."""


def measures_of(hold: Hold) -> HoldMeasures | None:
    """Measure a hold's solids together; None where it has none."""
    solids = tuple(hold.solids.values())
    if not solids:
        return None
    corners = [solid.bounds for solid in solids]
    low = point([min(corner[0][axis] for corner in corners) for axis in range(3)])
    high = point([max(corner[1][axis] for corner in corners) for axis in range(3)])
    return HoldMeasures(sum(solid.volume for solid in solids), (low, high))
