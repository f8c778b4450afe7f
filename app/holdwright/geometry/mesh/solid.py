"""The closed solid every step works on."""

import hashlib
from functools import cached_property
from typing import Any

import numpy as np
from manifold3d import Error, Manifold, Mesh64
from numpy.typing import NDArray

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.mesh import Mesh

_REASONS = {
    Error.NonFiniteVertex: "a coordinate is not a finite number",
    Error.NotManifold: "its surface is not closed: some edge does not join exactly two triangles",
    Error.VertexOutOfBounds: "a triangle names a vertex that is not there",
    Error.ResultTooLarge: "the result has too many triangles",
}


class Solid:
    """An immutable closed body in mm, its surface facing outward.

    Wraps a live solid of the kernel; only modules of `geometry` may touch `kernel`. Arrays are made when
    first asked for and are read-only. Every Solid that exists is closed, not empty and of positive volume.
    """

    def __init__(self, kernel: Manifold) -> None:
        """Use `Solid.checked` or `Solid.from_triangles` instead: they check."""
        self._kernel = kernel

    @classmethod
    def checked(cls, kernel: Manifold, what: str = "the solid") -> "Solid":
        """Wrap a kernel solid after checking that it is one.

        Parameters
        ----------
        kernel
            May still be lazy: it is evaluated here.
        what
            Names the solid in the error's sentence, such as "the hold above the trim plane".

        Raises
        ------
        GeometryError
            When it is empty, not closed, or its volume is not positive.
        """
        status = kernel.status()
        if status != Error.NoError:
            reason = _REASONS.get(status, f"the kernel says {status.name}")
            raise GeometryError(f"{what[0].upper()}{what[1:]} is not a solid: {reason}.")
        if kernel.num_tri() == 0:
            raise GeometryError(
                f"Nothing is left of {what}; take less away, or make the hold bigger (is its unit right?)."
            )
        solid = cls(kernel)
        if not solid.volume > 0.0:
            raise GeometryError(
                f"{what[0].upper()}{what[1:]} has no volume ({solid.volume:.3g} mm3); make the hold "
                "bigger (is its unit right?)."
            )
        return solid

    @classmethod
    def from_triangles(cls, vertices: Floats, triangles: Indices, what: str = "the mesh") -> "Solid":
        """Make a solid of a closed, outward triangle mesh.

        Parameters
        ----------
        vertices
            (n, 3) float64, mm.
        triangles
            (m, 3) indices into `vertices`.
        what
            Names the mesh in the error's sentence.

        Raises
        ------
        GeometryError
            When the mesh is not closed, faces inward, or has no volume.
        """
        return cls.checked(kernel_of(Mesh(vertices, triangles)), what)

    @property
    def kernel(self) -> Manifold:
        """The kernel's solid, for modules of `geometry` alone."""
        return self._kernel

    def __reduce__(self) -> tuple[Any, ...]:
        return (Solid.from_triangles, (self.vertices, self.triangles))

    def __repr__(self) -> str:
        return f"Solid({self.triangle_count} triangles, {self.volume:.6g} mm3)"

    @cached_property
    def mesh(self) -> Mesh:
        """The surface, wound outward."""
        return mesh_of(self._kernel)

    @property
    def vertices(self) -> Floats:
        """(n, 3) float64, mm, read-only."""
        return self.mesh.vertices

    @property
    def triangles(self) -> Indices:
        """(m, 3) int64, wound outward, read-only."""
        return self.mesh.triangles

    def picture(self) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
        """Give (n, 3) vertices and (m, 3) triangles in the precision pictures need; nothing of it is kept."""
        mesh = self._kernel.to_mesh()
        vertices = np.ascontiguousarray(mesh.vert_properties[:, :3], dtype=np.float32)
        return vertices, np.ascontiguousarray(mesh.tri_verts).astype(np.int32)

    @property
    def triangle_count(self) -> int:
        """Number of triangles."""
        return int(self._kernel.num_tri())

    @cached_property
    def volume(self) -> float:
        """Volume in mm3."""
        return float(self._kernel.volume())

    @cached_property
    def area(self) -> float:
        """Area of the whole surface in mm2."""
        return float(self._kernel.surface_area())

    @cached_property
    def bounds(self) -> Floats:
        """(2, 3) least and greatest corner, mm."""
        box = np.array(self._kernel.bounding_box(), dtype=np.float64).reshape(2, 3)
        box.flags.writeable = False
        return box

    @property
    def size(self) -> Floats:
        """(3,) extent along x, y and z, mm."""
        return np.asarray(self.bounds[1] - self.bounds[0])

    @property
    def genus(self) -> int:
        """Number of through holes, for a solid in one piece without cavities."""
        return int(self._kernel.genus())

    @cached_property
    def digest(self) -> str:
        """Hexadecimal digest of the arrays: the solid's identity."""
        content = hashlib.blake2b(digest_size=16)
        content.update(self.vertices.tobytes())
        content.update(self.triangles.tobytes())
        return content.hexdigest()

    @property
    def weight(self) -> int:
        """Bytes it holds, for budgets: the kernel takes 215 a triangle as measured, its arrays 60."""
        return self.triangle_count * 280

    def moved(self, placement: Floats) -> "Solid":
        """Give the solid after an affine map.

        Parameters
        ----------
        placement
            (4, 4) float64, the upper three rows used; a mirror image is turned outward again.
        """
        return Solid.checked(self._kernel.transform(placement[:3, :4]), "the moved solid")


def kernel_of(surface: Mesh) -> Manifold:
    """Hand a triangle mesh to the kernel, unchecked: its status and sign are the caller's to look at."""
    # The kernel takes only arrays it could write to, so read-only ones are copied.
    return Manifold(
        Mesh64(
            vert_properties=np.require(surface.vertices, dtype=np.float64, requirements=["C", "W"]),
            tri_verts=np.require(surface.triangles, dtype=np.uint64, requirements=["C", "W"]),
        )
    )


def mesh_of(kernel: Manifold) -> Mesh:
    """Give the surface of a kernel's solid."""
    mesh = kernel.to_mesh64()
    vertices = np.ascontiguousarray(mesh.vert_properties[:, :3], dtype=np.float64)
    return Mesh(vertices, np.ascontiguousarray(mesh.tri_verts).astype(np.int64))
