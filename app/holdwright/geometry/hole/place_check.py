"""A found place measured as the bore itself is: the search looks from level to level and may miss a ledge."""

from dataclasses import replace

from holdwright.geometry.hole.bore import BoreShape
from holdwright.geometry.hole.bore_check import edge_distance, measure_bore
from holdwright.geometry.hole.bore_site import BoreSite
from holdwright.geometry.hole.place_criteria import Wanted
from holdwright.geometry.mesh.solid import Solid


def measured_share(
    solid: Solid, wanted: Wanted, x: float, y: float, cone_angle: float | None = None
) -> float:
    """Give the least of thickness, walls and edge distance, each relative to what is wanted of it.

    Parameters
    ----------
    solid
        The hold before the cut, finished back on z = 0, mm.
    wanted
        What is wanted of the place.
    x, y
        The place, mm.
    cone_angle
        As of `BoreShape`.

    Raises
    ------
    GeometryError
        When no bore can be measured there.
    """
    sizes = wanted.clearance_diameter, wanted.pocket_diameter, wanted.ring_diameter
    shape = BoreShape(x, y, 0.0, *sizes, cone_angle=cone_angle)
    site = BoreSite.of(solid, shape)
    shape = replace(shape, seat=site.seat_heights(wanted.rule)[1])
    met = measure_bore(solid, site, shape, edge_distance(solid, x, y), deep=wanted.wall)
    return min(
        met.thickness.value / wanted.rule.under_seat,
        met.wall_at_bore.value / wanted.wall,
        met.wall_at_pocket.value / wanted.wall,
        met.edge.value / wanted.edge,
    )
