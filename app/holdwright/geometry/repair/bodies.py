"""The connected bodies of one group of a sculpt, closed as they are or kept as open surfaces."""

import numpy as np
from manifold3d import Error, Manifold

from holdwright.geometry.mesh.boolean import components
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid, kernel_of
from holdwright.geometry.mesh.weld import welded
from holdwright.geometry.repair.open_sheets import is_flat
from holdwright.geometry.repair.repair_account import Body, Defect

_LEAST_CLOSED = 4
"""Triangles that a closed surface has at least."""

_FEW_BITS = 50
"""So many bits of surface, too small to be closed, are looked at one by one; more are taken together."""


def bodies_of(group: Mesh) -> list[Body]:
    """Hand the group to the kernel as it is; only where that fails look closer."""
    kernel = kernel_of(group)
    if kernel.status() == Error.NoError:
        return _closed_bodies(kernel, group)
    mesh = welded(group)
    kernel = kernel_of(mesh)
    if kernel.status() == Error.NoError:
        return _closed_bodies(kernel, group)
    parts = mesh.parts()
    bits = [part for part in parts if len(part) < _LEAST_CLOSED]
    if len(bits) <= _FEW_BITS:
        return [single_body(mesh.submesh(part)) for part in parts]
    # Faces by the thousand that share no corner: to be welded all together, not looked at one by one.
    rest = [single_body(mesh.submesh(part)) for part in parts if len(part) >= _LEAST_CLOSED]
    return [*rest, _open_body(mesh.submesh(np.concatenate(bits)))]


def _closed_bodies(kernel: Manifold, group: Mesh) -> list[Body]:
    kernels = components(kernel)
    if not kernels:
        return [Body(len(group.triangles), group.bounds, defect=Defect("flat", len(group.triangles)))]
    if len(kernels) == 1:
        return [_closed_body(kernel, len(group.triangles))]
    return [_closed_body(each, each.num_tri()) for each in kernels]


def _closed_body(kernel: Manifold, triangles: int) -> Body:
    solid = Solid(kernel)
    if is_flat(solid.volume, solid.area, float(np.max(solid.size))):
        return Body(triangles, solid.bounds, defect=Defect("flat", triangles))
    if solid.volume > 0:
        return Body(triangles, solid.bounds, solid)
    return Body(triangles, solid.bounds, Solid(kernel_of(solid.mesh.flipped())), turned=True)


def single_body(surface: Mesh) -> Body:
    """Judge one connected part of a group that is not closed as a whole."""
    kernel = kernel_of(surface)
    if kernel.status() == Error.NoError and kernel.num_tri() > 0:
        return _closed_body(kernel, len(surface.triangles))
    return _open_body(surface)


def _open_body(surface: Mesh) -> Body:
    return Body(len(surface.triangles), surface.bounds, surface=surface)


def why_not_closed(body: Body) -> Defect | None:
    """Count what keeps a connected surface that nobody mended from being closed."""
    if body.defect is not None or body.surface is None:
        return body.defect
    _, uses, forward = body.surface.edges
    flipped = int(np.count_nonzero((uses == 2) & (forward != 1)))
    alone, crowded = int(np.count_nonzero(uses == 1)), int(np.count_nonzero(uses > 2))
    return Defect("not closed", body.triangles, alone, crowded, flipped)
