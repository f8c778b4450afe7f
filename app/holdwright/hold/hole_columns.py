"""A hold's holes as the columns that geometry asks about."""

from collections.abc import Iterable

from holdwright.errors import GeometryError
from holdwright.geometry.measure.grip_surface import Column
from holdwright.hold.feature import Bore, Feature, ScrewHole


def bore_column(bore: Bore) -> Column:
    """Give a bore as a column.

    Raises
    ------
    GeometryError
        When its seat is not above the finished back.
    """
    upright = bore.axis[2]
    if upright <= 0.0 or bore.seat_z <= 0.0:
        raise GeometryError(
            f"The bore at ({bore.x:.1f}, {bore.y:.1f}) mm has no seat above the finished back; bore it anew."
        )
    return Column(
        foot=(bore.x, bore.y, 0.0),
        axis=bore.axis,
        seat=bore.seat_z / upright,
        pocket_radius=bore.pocket_diameter / 2.0,
        hole_radius=bore.clearance_diameter / 2.0,
        slot=bore.slot,
        slot_along=bore.slot_along,
    )


def screw_column(hole: ScrewHole) -> Column:
    """Give a screw hole as a column: its countersink counts as pocket."""
    return Column((hole.x, hole.y, 0.0), hole.axis, hole.seat, hole.head_diameter / 2.0, hole.diameter / 2.0)


def hole_columns(features: Iterable[Feature]) -> list[Column]:
    """Give all that was cut through a hold, in order: none of it is grip surface."""
    columns = []
    for feature in features:
        if isinstance(feature, Bore):
            columns.append(bore_column(feature))
        elif isinstance(feature, ScrewHole):
            columns.append(screw_column(feature))
    return columns
