"""The flat back and the straight rim above it, exact to the last digit."""

from dataclasses import dataclass

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.boolean import connected, cut_by_plane, subtract
from holdwright.geometry.mesh.connectivity import linked_sets, triangle_sets
from holdwright.geometry.mesh.solid import Solid

_ON_PLANE = 1e-7


@dataclass(frozen=True, eq=False)
class BottomFace:
    """The flat face a solid stands on."""

    triangles: Indices
    """(k,) which of the solid's triangles it is made of."""
    island: Indices
    """(k,) number of the island each belongs to; the largest is 0."""
    islands: Floats
    """(i,) area of each, holes taken off, mm2, largest first."""
    holes: Floats
    """(h,) areas of the holes in them, mm2, largest first."""
    centres: Floats
    """(i, 2) centre of gravity of each island, mm."""

    @property
    def area(self) -> float:
        """Area of all islands, mm2."""
        return float(self.islands.sum())

    def without_specks(self, least: float) -> "BottomFace":
        """Leave out the islands of less than `least` mm2."""
        stays = self.islands >= least
        shown = stays[self.island]
        return BottomFace(
            self.triangles[shown], self.island[shown], self.islands[stays], self.holes, self.centres[stays]
        )


def cut_above(solid: Solid, z: float) -> tuple[Solid, tuple[Solid, ...]]:
    """Keep what lies above a height, closed flat.

    Returns
    -------
    kept
        The largest connected piece of it.
    dropped
        The other pieces, largest first.
    """
    return largest_piece(cut_by_plane(solid, np.array([0.0, 0.0, 1.0]), z, "the hold above the cut"))


def largest_piece(solid: Solid) -> tuple[Solid, tuple[Solid, ...]]:
    """Part a solid into its largest connected piece, cavities and all, and the others, largest first."""
    pieces = connected(solid)
    if len(pieces) == 1:
        return solid, ()
    return subtract(solid, pieces[1:], "the largest piece"), pieces[1:]


def bottom_face(solid: Solid, z: float) -> BottomFace:
    """Find the flat face of a solid at height `z`, its lowest.

    Raises
    ------
    GeometryError
        When the solid has no flat face there.
    """
    chosen = np.flatnonzero((np.abs(solid.vertices[:, 2] - z) < _ON_PLANE)[solid.triangles].all(axis=1))
    if not len(chosen):
        raise GeometryError(
            "The hold, or the largest piece of it, has no flat face where it was cut; "
            "cut higher, or join the sculpt's pieces."
        )
    triangles = solid.triangles[chosen]
    label = triangle_sets(triangles)
    corners = solid.vertices[triangles][:, :, :2]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    areas = (first[:, 1] * second[:, 0] - first[:, 0] * second[:, 1]) / 2  # seen from below
    islands = np.bincount(label, weights=areas).astype(np.float64)
    holes = _hole_areas(triangles, solid.vertices)
    rank = np.argsort(-islands)
    number = np.empty_like(rank)
    number[rank] = np.arange(len(rank))
    centres = np.stack(
        [np.bincount(label, areas * corners[:, :, axis].mean(axis=1)) for axis in (0, 1)], axis=1
    )
    safe = np.where(np.abs(islands) > 0, islands, 1.0)
    return BottomFace(chosen, number[label], islands[rank], holes, (centres / safe[:, None])[rank])


def extend_down(solid: Solid, face: BottomFace, z: float, foot: float) -> Solid:
    """Draw the bottom face straight down: every island becomes a prism, its walls exactly upright.

    Parameters
    ----------
    solid
        With a flat bottom `face` at height `z`. Islands left out of the face stay where they are.
    foot
        Height it is drawn down to, below `z`.

    Notes
    -----
    The face itself is moved and its edges are joined to where it was: no boolean operation, so the volume
    grows by area times depth to rounding and no slivers arise.
    """
    vertices = solid.vertices.copy()
    vertices[np.abs(vertices[:, 2] - z) < _ON_PLANE, 2] = z
    triangles = solid.triangles[face.triangles]
    used = np.unique(triangles)
    lowered = vertices[used]
    lowered[:, 2] = foot
    name = np.zeros(len(vertices), dtype=np.int64)
    name[used] = len(vertices) + np.arange(len(used))
    edge = _boundary(triangles)
    a, b = edge[:, 0], edge[:, 1]
    walls = np.concatenate([np.stack([a, b, name[b]], axis=1), np.stack([a, name[b], name[a]], axis=1)])
    rest = np.delete(solid.triangles, face.triangles, axis=0)
    return Solid.from_triangles(
        np.concatenate([vertices, lowered]),
        np.concatenate([rest, name[triangles], walls]),
        "the hold with its rim",
    )


def levelled(solid: Solid, z: float) -> Solid:
    """Put vertices within rounding of height `z` exactly on it."""
    near = np.abs(solid.vertices[:, 2] - z) < _ON_PLANE
    if (solid.vertices[near, 2] == z).all():
        return solid
    vertices = solid.vertices.copy()
    vertices[near, 2] = z
    return Solid.from_triangles(vertices, solid.triangles, "the levelled hold")


def _boundary(triangles: Indices) -> Indices:
    """Directed edges (e, 2) that no other of the triangles runs back along."""
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    stride = int(triangles.max()) + 1
    forward = edges[:, 0] * stride + edges[:, 1]
    return np.asarray(edges[~np.isin(forward, edges[:, 1] * stride + edges[:, 0])])


def _hole_areas(triangles: Indices, vertices: Floats) -> Floats:
    """Areas within the boundary loops that run round holes, largest first."""
    edges = _boundary(triangles)
    names, local = np.unique(edges, return_inverse=True)
    local = local.reshape(-1, 2)
    label = linked_sets(local[:, 0], local[:, 1], len(names))[1][local[:, 0]]
    start, end = vertices[edges[:, 0], :2], vertices[edges[:, 1], :2]
    within = np.bincount(label, weights=(start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]) / 2)
    holes = within[within > 0]  # seen from below outer loops run the other way
    return np.sort(holes)[::-1].astype(np.float64)
