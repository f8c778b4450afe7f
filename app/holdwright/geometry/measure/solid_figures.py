"""The figures of a solid as plain numbers, that outlive it."""

from dataclasses import dataclass

from holdwright.geometry.mesh.solid import Solid

Corner = tuple[float, float, float]


@dataclass(frozen=True)
class Measures:
    """What a solid measures."""

    volume_mm3: float
    area_mm2: float
    """volume_mm3 and area_mm2: volume and area of the whole surface."""
    bounds_mm: tuple[Corner, Corner]
    """Least and greatest corner."""
    triangles: int
    """Number of triangles."""
    genus: int
    """Number of through holes; of one piece without cavities, else only a sum over its surfaces."""
    pieces: int | None = None
    """Number of connected pieces of surface (a sealed cavity counts as one), or None when not counted."""

    @property
    def size_mm(self) -> Corner:
        """Extent along x, y and z."""
        (x0, y0, z0), (x1, y1, z1) = self.bounds_mm
        return (x1 - x0, y1 - y0, z1 - z0)


def measure(solid: Solid, count_pieces: bool = False) -> Measures:
    """Measure a solid.

    Parameters
    ----------
    count_pieces
        Whether to take it apart to count its pieces too, which costs about as much as a cut.
    """
    low, high = solid.bounds.tolist()
    return Measures(
        volume_mm3=solid.volume,
        area_mm2=solid.area,
        bounds_mm=((low[0], low[1], low[2]), (high[0], high[1], high[2])),
        triangles=solid.triangle_count,
        genus=solid.genus,
        pieces=len(solid.kernel.decompose()) if count_pieces else None,
    )
