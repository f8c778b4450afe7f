"""Adding, cutting and taking apart solids, each result checked."""

from collections.abc import Sequence

import numpy as np
from manifold3d import Manifold, OpType

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid, kernel_of, mesh_of

_FEW_TRIANGLES = 20_000
_FEW_COUNTED = 20

FIRST_TOLERANCE = 0.0005
"""Share of the solid's extent at which coarsening starts."""

COARSEST_TOLERANCE = 0.02


def union(solids: Sequence[Solid], what: str = "the union") -> Solid:
    """Fuse solids into one in a single pass (adding them one by one is several times slower)."""
    if len(solids) == 1:
        return solids[0]
    return Solid.checked(Manifold.batch_boolean([solid.kernel for solid in solids], OpType.Add), what)


def subtract(solid: Solid, cutters: Sequence[Solid], what: str = "the cut solid") -> Solid:
    """Take all `cutters` out of `solid` in a single pass."""
    if not cutters:
        return solid
    return Solid.checked(
        Manifold.batch_boolean([solid.kernel, *(cutter.kernel for cutter in cutters)], OpType.Subtract), what
    )


def overlap_volume(solid: Solid, other: Solid) -> float:
    """Volume both solids share, in mm3; zero when they do not meet."""
    return max(float((solid.kernel ^ other.kernel).volume()), 0.0)


def split(solid: Solid, cutter: Solid, inside: str, outside: str) -> tuple[Solid, Solid]:
    """Part `solid` at the surface of `cutter`: what lies inside it, and the rest.

    Raises
    ------
    GeometryError
        When either side is empty; named by `inside` and `outside`.
    """
    within, without = solid.kernel.split(cutter.kernel)
    return Solid.checked(within, inside), Solid.checked(without, outside)


def cut_by_plane(solid: Solid, normal: Floats, offset: float, what: str = "the trimmed solid") -> Solid:
    """Keep the side of the plane `normal` . p = `offset` that `normal` points to, closed flat."""
    return Solid.checked(solid.kernel.trim_by_plane(tuple(normal), float(offset)), what)


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
    mesh = mesh_of(kernel)
    parts = mesh.parts()
    if len(parts) < _FEW_COUNTED:
        return list(kernel.decompose())
    surfaces = [kernel_of(mesh.submesh(part)) for part in parts]
    return [surface for surface in surfaces if surface.num_tri() > 0]


def connected(solid: Solid) -> tuple[Solid, ...]:
    """Take a solid apart into its connected pieces, largest first. Cavities stay with nothing: they vanish.

    A sealed cavity is a piece of surface of negative volume; it is not a piece of the solid.
    """
    pieces = [Solid(kernel) for kernel in components(solid.kernel)]
    bodies = [piece for piece in pieces if piece.volume > 0]
    return tuple(sorted(bodies, key=lambda piece: -piece.volume))


def reassembled(pieces: Sequence[Manifold]) -> Manifold:
    """Put pieces that were taken apart together again as they are.

    A union, and the kernel's own `compose`, would fill cavities, which are pieces of negative volume.
    """
    return kernel_of(Mesh.joined([mesh_of(piece) for piece in pieces]))


def simplified(solid: Solid, tolerance: float) -> Solid:
    """Drop detail finer than `tolerance` mm: no surface point moves by more.

    Narrow places may be pinched off as flakes and sealed cracks; those thinner than twice that are left out.
    """
    kernel = solid.kernel.as_original().simplify(tolerance)
    pieces = components(kernel)
    # A thin piece has half its thickness times its area for a volume.
    kept = [piece for piece in pieces if abs(piece.volume()) > tolerance * piece.surface_area()]
    if kept and len(kept) < len(pieces):
        kernel = reassembled(kept)
    return Solid.checked(kernel, "the simplified solid")


def stand_in(solid: Solid, triangles: int) -> Solid:
    """Coarsen a solid until it has no more than about `triangles` triangles.

    Stops at a tolerance of 2 % of its extent, where the shape would be lost.
    """
    extent = float(np.max(solid.size))
    tolerance = FIRST_TOLERANCE
    coarse = solid
    while coarse.triangle_count > triangles and tolerance <= COARSEST_TOLERANCE:
        coarse = simplified(coarse, tolerance * extent)
        tolerance *= 2
    return coarse
