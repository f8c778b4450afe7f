"""Where a hold touches its wall, seen from its bolts."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial import ConvexHull

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import inside, section
from holdwright.geometry.mesh.solid import Solid
from holdwright.joint.holding.pressure import ClampCone, Pressure, kern, rocks, settle
from holdwright.joint.outline import Outlines, moments

HEIGHT = 0.02
"""Height of the section that stands for the contact, mm: as for a bore's edge distance."""


@dataclass(frozen=True, eq=False)
class Footing:
    """What the statics of a footing need of a contact. Lengths in mm, origin as of its outlines."""

    outlines: tuple[Floats, ...]
    """Of what touches: bores, hollows and relief are holes in it."""
    area: float
    """mm2."""
    centre: Floats
    """(2,) centroid."""
    hull: Floats
    """(k, 2) corners of its convex hull."""


@dataclass(frozen=True, eq=False)
class Contact(Footing):
    """A hold's contact with the wall, origin at the middle of the bolts."""

    cones: tuple[ClampCone, ...]
    """Of the bolts."""

    @cached_property
    def pressure(self) -> Pressure:
        """Under the cones of the bolts; a `GeometryError` where the contact does not surround them."""
        return settle(self.outlines, self.cones)

    @cached_property
    def kern(self) -> Floats:
        """(k, 2) within which a resultant leaves the washers pressed, as of `kerns_of`."""
        return kern(self.outlines, self.cones)


def contact_of(solid: Solid, middle: Floats, cones: Sequence[ClampCone]) -> Contact:
    """Find the contact of a finished hold.

    Parameters
    ----------
    solid
        The bored hold, finished back on z = 0.
    middle
        (2,) middle of the bolts.
    cones
        Of the bolts, origin at their middle.

    Raises
    ------
    GeometryError
        When nothing touches the wall, or the contact does not surround the bolts.
    """
    return contact_within([outline - middle for outline in back_outlines(solid)], cones)


def back_outlines(solid: Solid) -> list[Floats]:
    """Outlines (n, 2) of a hold's back on z = 0, mm; a `GeometryError` where it has none."""
    outlines = section(solid, HEIGHT)
    if not outlines:
        raise GeometryError(
            "The hold has no flat back on z = 0 that could touch a wall; trim its back first."
        )
    return outlines


def footing_within(outlines: Outlines) -> Footing:
    """Measure what closed outlines (n, 2) enclose."""
    whole = moments(outlines)
    centre = whole.first / whole.area
    points = np.concatenate(list(outlines))
    return Footing(tuple(outlines), whole.area, centre, points[ConvexHull(points).vertices])


def contact_within(outlines: Outlines, cones: Sequence[ClampCone]) -> Contact:
    """Measure the contact within closed outlines (n, 2), origin at the middle of the bolts.

    Raises
    ------
    GeometryError
        When it does not surround that.
    """
    footing = footing_within(outlines)
    if not inside(np.zeros((1, 2)), [footing.hull])[0]:
        raise rocks()
    return Contact(**vars(footing), cones=tuple(cones))
