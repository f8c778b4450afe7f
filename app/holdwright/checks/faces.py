"""Figures of some faces of a mesh, without those of all the others."""

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.mesh import Mesh


def middles(mesh: Mesh, faces: Indices) -> Floats:
    """Give the (k, 3) middles of faces (k,), mm."""
    return np.asarray(mesh.vertices[mesh.triangles[faces]].mean(axis=1))


def outward(mesh: Mesh, faces: Indices) -> Floats:
    """Give the (k, 3) unit normals of faces (k,); 0 for one of no area."""
    return np.asarray(mesh.crosses[faces] / np.maximum(2.0 * mesh.areas[faces], 1e-300)[:, None])


def tops(mesh: Mesh) -> Floats:
    """Give the (m,) greatest height of every face, mm."""
    return np.asarray(mesh.vertices[:, 2][mesh.triangles].max(axis=1))
