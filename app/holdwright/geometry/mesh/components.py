"""Taking a kernel solid apart into its connected surfaces, however many they are."""

import numpy as np
from manifold3d import Manifold
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from holdwright.geometry.mesh.solid import kernel_of

_FEW_TRIANGLES = 20_000
_FEW_COUNTED = 20


def components(kernel: Manifold) -> list[Manifold]:
    """Give the connected surfaces of a solid, cavities among them with negative volume.

    Notes
    -----
    The kernel goes through the whole mesh once for every surface, which takes minutes where rounding has left
    a thousand crumbs about a large one. How many there are shows in Euler's number, unless through holes
    cancel them out.
    """
    if kernel.num_tri() < _FEW_TRIANGLES or abs(int(kernel.genus())) < _FEW_COUNTED:
        return list(kernel.decompose())
    mesh = kernel.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3]
    triangles = np.asarray(mesh.tri_verts).astype(np.int64)
    ends = np.concatenate([triangles[:, :2], triangles[:, 1:]])
    links = coo_array((np.ones(len(ends), dtype=np.int8), tuple(ends.T)), shape=(len(vertices),) * 2)
    count, label = connected_components(links, directed=False)
    if count < _FEW_COUNTED:
        return list(kernel.decompose())
    of_triangle = label[triangles[:, 0]]
    order = np.argsort(of_triangle, kind="stable")
    parts = np.split(triangles[order], np.flatnonzero(np.diff(of_triangle[order])) + 1)
    surfaces = []
    for part in parts:
        used, compact = np.unique(part, return_inverse=True)
        surfaces.append(kernel_of(vertices[used], compact.reshape(-1, 3)))
    return [surface for surface in surfaces if surface.num_tri() > 0]
