"""The part of a mesh that is near some place, for callers that hold its arrays."""

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.mesh import Mesh


def near_part(vertices: Floats, triangles: Indices, low: Floats, high: Floats) -> tuple[Floats, Indices]:
    """See `Mesh.near`."""
    near = Mesh(vertices, triangles).near(low, high)
    return near.vertices, near.triangles
