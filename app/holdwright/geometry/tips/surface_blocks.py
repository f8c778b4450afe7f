"""The surface of a hold too large for one lattice: fractions are measured only where it may be sharp."""

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.occupancy import filling, lattice_over
from holdwright.geometry.mesh.connectivity import any_corner
from holdwright.geometry.mesh.mesh import Mesh, quartered
from holdwright.geometry.tips.ball_fraction import FINENESS, FractionField, averaged, ball_weights, cone_angle
from holdwright.geometry.tips.neighbourhood import LARGEST_POINT, RING
from holdwright.geometry.tips.sharp_regions import Boxes, sharp_boxes
from holdwright.geometry.tips.surface_cells import SurfaceFractions, points_on

SIDE = 8.0
"""Side of the boxes that are looked through for sharp places, in radii of the ball."""

LONGEST = 24.0
"""Longest part that is searched at once, in radii of the ball; longer edges are reported in stretches."""

MOST_BOXES = 1000
"""Boxes looked through at most: those of the widest spread of normals."""

SLACK = 2.0
"""Degrees that a slope must be gentler than is needed, since the lattice blurs."""

_LARGE = 16
"""Triangles longer than this many steps of the lattice are cut down before points are laid on them."""


class PartedSurface:
    """Where a large surface may be sharp.

    Parameters
    ----------
    surface
        The solid's, mm, outward.
    ball
        Radius of the ball whose fraction is measured, mm.
    back
        Height of the wall the solid goes on into, mm, or None.
    """

    def __init__(self, surface: Mesh, ball: float, back: float | None) -> None:
        self._surface = surface
        self._ball, self._back = ball, back

    def parts(self, fraction: float) -> tuple[list[SurfaceFractions], float]:
        """Measure wherever the fraction of the ball may be below `fraction`.

        Returns
        -------
        The parts, each of which owns what lies in its box, and the fraction of the boxes that were too many.
        """
        surface = self._surface
        if self._back is not None:
            high = any_corner(surface.vertices[:, 2] > self._back, surface.triangles)
            surface = Mesh(surface.vertices, surface.triangles[high])
        slope = max((180.0 - cone_angle(fraction)) / 2.0 - SLACK, 0.0)
        boxes = sharp_boxes(surface, SIDE * self._ball, self._ball, slope)
        left = max(len(boxes.cells) - MOST_BOXES, 0) / max(len(boxes.cells), 1)
        boxes = boxes.chosen(np.arange(min(len(boxes.cells), MOST_BOXES)))
        hot = boxes.chosen(
            np.array([self._is_sharp(boxes, row, fraction) for row in range(len(boxes.cells))], bool)
        )
        if len(hot.cells) == 0:
            return [], left
        clusters = hot.clusters(LONGEST * self._ball)
        return [part for part in (self._within(*each.bounds) for each in clusters) if part is not None], left

    def near(self, point: Floats) -> SurfaceFractions:
        """Measure round about a place (3,) mm."""
        reach = 2.0 * self._ball
        while (part := self._within(point - reach, point + reach)) is None:
            reach *= 2.0
        return part

    def _is_sharp(self, boxes: Boxes, row: int, fraction: float) -> bool:
        part = self._within(*boxes.chosen(np.array([row])).bounds, around=0.0)
        return part is not None and bool(part.fractions.min() < fraction)

    def _within(
        self, low: Floats, high: Floats, around: float = LARGEST_POINT + RING[1]
    ) -> SurfaceFractions | None:
        """Measure a box and what is `around` it, in radii of the ball; None where there is no surface."""
        spacing = self._ball / FINENESS
        far = around * self._ball
        points = self._points(low - far, high + far, spacing)
        if len(points) == 0:
            return None
        lattice = lattice_over(low - far, high + far, spacing, margin=self._ball + spacing)
        first = lattice.origin[:2] - spacing
        last = lattice.points(np.array(lattice.shape))[:2] + spacing
        solid = filling(lattice, self._surface.near(first, last), self._back, 2)
        field = FractionField(lattice, self._ball, averaged(solid, ball_weights(self._ball, spacing)))
        return SurfaceFractions(field, points, self._back, (low, high))

    def _points(self, low: Floats, high: Floats, spacing: float) -> Floats:
        """Give the mesh's vertices in a box, and points on its triangles there, (n, 3) mm."""
        near = self._surface.near(low, high)
        corners, small = near.corners, []
        while len(corners):
            large = np.ptp(corners, axis=1).max(axis=1) > _LARGE * spacing
            small.append(corners[~large])
            corners = quartered(corners[large])
            corners = corners[((corners.max(axis=1) >= low) & (corners.min(axis=1) <= high)).all(axis=1)]
        points = points_on(np.concatenate([np.empty((0, 3, 3)), *small]), spacing)
        points = np.concatenate([near.vertices, points])
        if self._back is not None:
            points = points[points[:, 2] > self._back]
        return np.asarray(points[((points >= low) & (points <= high)).all(axis=1)])
