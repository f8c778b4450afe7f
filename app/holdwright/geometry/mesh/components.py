"""Taking a kernel solid apart into its connected surfaces, however many they are."""

from manifold3d import Manifold

from holdwright.geometry.mesh.solid import kernel_of, mesh_of

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
    mesh = mesh_of(kernel)
    parts = mesh.parts()
    if len(parts) < _FEW_COUNTED:
        return list(kernel.decompose())
    surfaces = [kernel_of(mesh.submesh(part)) for part in parts]
    return [surface for surface in surfaces if surface.num_tri() > 0]
