"""What a closed surface that crosses itself encloses, found by arrays: copies of the process work on it."""

from dataclasses import dataclass, replace

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.connectivity import linked_sets, sides_by_edge
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.mesh_arrangement import boundary
from holdwright.geometry.repair.overlap_detection import LEAST, lines_through

_CRUMB = 2e-5
"""Share of the volume below which a part apart from the rest, or a hollow, is left out: tips of folds."""

_THINNEST = 1e-6
"""Share of the extent: what is thinner is no material that is missed, wherever it lies."""

_LINES = 20_000
"""Lines by which a surface is judged: volumes come out within a thousandth."""

_OFF = 4e-3
"""Share of its volume by which a solid may be off what lines counted."""


@dataclass(frozen=True, eq=False)
class SelfOverlap:
    """How far a closed surface overlaps itself, and the boundary of what it encloses."""

    counted: float
    """Volume along lines, units cubed."""
    doubled: float
    """By how much the kernel's volume would be off, units cubed."""
    outline: tuple[Mesh, Floats] | None = None
    """The boundary without crumbs and slits, and (n, 3) vertices of crumbs; None where nothing is doubled,
    or that is too tangled, or not what lines counted."""

    @property
    def none(self) -> bool:
        """Whether so little is doubled that the surface can stay as it is."""
        return self.doubled <= LEAST * self.counted


def self_overlap(surface: Mesh) -> SelfOverlap:
    """Look for overlap of a surface with itself, and find the boundary where there is any.

    Parameters
    ----------
    surface
        Every edge used equally in both directions; outward.
    """
    met = lines_through([surface], _LINES)
    found = SelfOverlap(float(met.volume[0]), float(met.doubled[0]))
    return found if found.none else _with_outline(surface, found)


def _with_outline(surface: Mesh, found: SelfOverlap) -> SelfOverlap:
    outline = boundary(surface)
    if outline is None:
        return found
    side, first = sides_by_edge(outline.triangles, len(outline.vertices))
    if (np.diff(first) != 2).any():
        return found
    # Across edges alone: a crumb may touch the rest in a vertex.
    one, other = side.reshape(-1, 2).T // 3
    count, part = linked_sets(one, other, len(outline.triangles))
    six = np.einsum("ij,ij->i", outline.corners[:, 0] - surface.bounds[0], outline.crosses)
    volumes = np.bincount(part, weights=six / 6.0, minlength=count)
    large = np.abs(volumes) > _CRUMB * found.counted
    if abs(float(volumes[large].sum()) - found.counted) > _OFF * found.counted:
        return found
    thinnest = _THINNEST * surface.diagonal * np.bincount(part, weights=outline.areas, minlength=count)
    crumbs = outline.submesh((~large & (2.0 * volumes > thinnest))[part]).vertices
    return replace(found, outline=(outline.submesh(large[part]), crumbs))
