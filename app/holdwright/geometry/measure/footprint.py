"""What meshes cover, seen along z."""

from collections.abc import Iterable

import numpy as np
from manifold3d import CrossSection, JoinType

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import outer, signed_area
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import kernel_of

DETAIL = 0.3
"""What the outline may lie outside, mm, and never inside: so it needs fewer corners."""


def footprint(meshes: Iterable[Mesh]) -> Floats:
    """Give the outline (n, 2) round all of the meshes, closed and anticlockwise, mm.

    Parts that lie apart are taken together by their convex hull.
    """
    covered = CrossSection()
    for mesh in meshes:
        covered += kernel_of(mesh).project()
    outlines = outer(
        [
            np.asarray(each)
            for each in covered.offset(DETAIL / 2.0, JoinType.Miter).simplify(DETAIL / 2.0).to_polygons()
        ]
    )
    if len(outlines) == 1:
        return outlines[0]
    hull = covered.hull().to_polygons()
    return max((np.asarray(each) for each in hull), key=signed_area)


def grown(outline: Floats, by: float, detail: float = DETAIL) -> Floats:
    """Give a closed outline (n, 2) grown all round, mm, with as few corners as `detail` allows.

    Parameters
    ----------
    detail
        What the outline may lie farther outside, mm, and never inside.
    """
    section = CrossSection([outline]).offset(by + detail / 2.0, JoinType.Round, circular_segments=32)
    return outer([np.asarray(each) for each in section.simplify(detail / 2.0).to_polygons()])[0]
