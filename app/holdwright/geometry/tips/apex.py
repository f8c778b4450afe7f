"""A pointed place looked at closely: its exact apex, axis and sharpness."""

from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.measure.occupancy import Lattice, filling
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.tips.ball_fraction import FINENESS, ball_weights

FINER = 4
"""How many times finer than the search the lattice at an apex is."""

MOST_STEPS = 10

CENTRINGS = 8
"""Rounds at most that bring the axis of a tip that ends blunt to its middle."""

STEADY = 0.9999
"""Cosine of the angle, under a degree, by which the axis may still turn in the last round."""


@dataclass(frozen=True, eq=False)
class Apex:
    """The outermost point of something pointed."""

    place: Floats
    """(3,) mm, a vertex of the mesh."""
    axis: Floats
    """(3,) unit vector from the middle of what the ball holds to the apex."""
    ball_fraction: float
    """Fraction of the ball that is solid."""


class Closeup:
    """Measures the ball round single places of a mesh precisely.

    Parameters
    ----------
    surface
        Closed, mm, wound outward.
    ball
        Radius of the ball, mm.
    back
        Height of the wall the solid goes on into, mm, or None.
    """

    def __init__(self, surface: Mesh, ball: float, back: float | None) -> None:
        self._vertices, self._triangles = surface.vertices, surface.triangles
        self._ball, self._back = ball, back
        corners = surface.vertices[:, :2][surface.triangles]
        self._low, self._high = corners.min(axis=1), corners.max(axis=1)
        self._spacing = ball / (FINENESS * FINER)
        self._weights = ball_weights(ball, self._spacing)
        reach = self._weights.shape[0] // 2
        line = np.arange(-reach, reach + 1) * self._spacing
        self._offsets = np.stack(np.meshgrid(line, line, line, indexing="ij"), axis=-1).reshape(-1, 3)
        self._half = np.linalg.norm(self._offsets, axis=1) <= ball / 2

    def measure(self, place: Floats) -> tuple[float, Floats, Floats]:
        """Measure the solid part of the ball round a place.

        Parameters
        ----------
        place
            (3,) mm.

        Returns
        -------
        Its fraction of the ball, its (3,) centroid, and the (3,) centroid of what of it lies in the ball of
        half the radius, both mm and `place` itself where there is nothing.
        """
        cells = self._weights.shape[0]
        low = place + self._offsets[0]
        high = place + self._offsets[-1]
        near = ((self._low <= high[:2]) & (self._high >= low[:2])).all(axis=1)
        lattice = Lattice(low, self._spacing, (cells, cells, cells))
        solid = filling(lattice, Mesh.of_corners(self._vertices[self._triangles[near]]), self._back)
        held = (solid * self._weights).reshape(-1).astype(np.float64)
        return float(held.sum()), place + self._middle(held), place + self._middle(held * self._half)

    def _middle(self, held: Floats) -> Floats:
        total = float(held.sum())
        return np.asarray(held @ self._offsets / total) if total > 0.0 else np.zeros(3)

    def climb(self, start: Floats) -> Apex:
        """Go from `start` (3,) mm, on the surface, to the vertex farthest along the tip's own axis."""
        apex = self._look(start, np.array([0.0, 0.0, 1.0]))
        for _ in range(MOST_STEPS):
            farther = self._farther(apex)
            if farther is None:
                break
            apex = self._look(farther, apex.axis)
        for _ in range(MOST_STEPS):
            apex = self._centred(apex)
            farther = self._farther(apex)
            if farther is None:
                break
            apex = Apex(farther, apex.axis, self.measure(farther)[0])
        return apex

    def _look(self, place: Floats, otherwise: Floats) -> Apex:
        fraction, middle, _ = self.measure(place)
        return Apex(place, _direction(middle, place, otherwise), fraction)

    def _centred(self, apex: Apex) -> Apex:
        """Turn the axis to the middle of a tip that ends blunt, whose farthest vertex lies at the side."""
        place, axis = apex.place, apex.axis
        for _ in range(CENTRINGS):
            _, middle, inner = self.measure(place)
            before, axis = axis, _direction(middle, inner, axis)
            if before @ axis > STEADY:
                break
            place = inner + ((apex.place - inner) @ axis - self._ball / 4) * axis
        return Apex(apex.place, axis, apex.ball_fraction)

    def _farther(self, apex: Apex) -> Floats | None:
        """Give the vertex close by that lies farthest along the apex's axis; None if it is the apex."""
        offset = self._vertices - apex.place
        near = _within(offset, self._ball / 2)
        if not near.any():
            near = _within(offset, self._ball)
        if not near.any():
            return None
        rise = offset[near] @ apex.axis
        best = int(np.argmax(rise))
        arrived = bool((np.abs(offset[near]).max(axis=1) < 1e-9).any())
        if (arrived and rise[best] <= 1e-9) or rise[best] <= -self._ball / 4:
            return None
        return np.asarray(self._vertices[near][best])


def _direction(start: Floats, end: Floats, otherwise: Floats) -> Floats:
    length = float(np.linalg.norm(end - start))
    return (end - start) / length if length > 1e-9 else otherwise


def _within(offset: Floats, radius: float) -> Mask:
    return np.asarray(np.einsum("ij,ij->i", offset, offset) <= radius * radius)
