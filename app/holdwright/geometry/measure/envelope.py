"""How large a hold is: the smallest circle round its silhouette, and where that circle puts it."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import placement

_SLACK = 1e-12
_ROUNDS = 1000


@dataclass(frozen=True)
class Circle:
    """A circle in the plane of the wall, mm."""

    x: float
    y: float
    diameter: float

    @property
    def centre(self) -> Floats:
        """(2,) float64."""
        return np.array([self.x, self.y])


def smallest_circle(points: Floats) -> Circle:
    """Find the smallest circle round points, exactly.

    Parameters
    ----------
    points
        (n, 2) float64, n at least 1.

    Notes
    -----
    The circle is held by two or three of the points. As in E. Welzl, "Smallest enclosing disks" (1991), the
    farthest point outside the present circle must hold the next one; instead of recursing, each round looks
    at all points at once and renews the two or three that hold. The radius grows each round, so it ends.
    """
    origin = (points.min(axis=0) + points.max(axis=0)) / 2
    x, y = np.ascontiguousarray((points - origin).T)
    scale = float(max(np.abs(x).max(), np.abs(y).max())) or 1.0
    far = int(np.argmax(x * x + y * y))
    holding = np.array([[x[far], y[far]]])
    centre, radius = holding[0], 0.0
    for _ in range(_ROUNDS):
        squares = (x - centre[0]) ** 2 + (y - centre[1]) ** 2
        far = int(np.argmax(squares))
        if squares[far] <= (radius + _SLACK * scale) ** 2:
            break
        holding, centre, radius = _circle_of_few(np.vstack([holding, [[x[far], y[far]]]]))
    return Circle(float(origin[0] + centre[0]), float(origin[1] + centre[1]), 2.0 * radius)


def before_wall(points: Floats, linear: Floats) -> tuple[Floats, Circle]:
    """Place a solid before the wall: lowest point on z = 0, silhouette circle round x = y = 0.

    Parameters
    ----------
    points
        (n, 3) float64, mm: the solid's vertices.
    linear
        (3, 3) what turns or scales them first.

    Returns
    -------
    matrix
        (4, 4) the whole placement.
    circle
        The silhouette's smallest circle as it is before the shift.
    """
    turned = points @ linear.T
    circle = smallest_circle(turned[:, :2])
    shift = np.array([-circle.x, -circle.y, -float(turned[:, 2].min())])
    return placement(linear, shift), circle


def _circle_of_few(points: Floats) -> tuple[Floats, Floats, float]:
    """Give the smallest circle round at most four points, and which of them hold it."""
    best: tuple[Floats, Floats, float] | None = None
    scale = float(np.ptp(points, axis=0).max())
    for size in (2, 3):
        for chosen in combinations(range(len(points)), size):
            holding = points[list(chosen)]
            centre = holding.mean(axis=0) if size == 2 else _circumcentre(holding)
            if centre is None:
                continue
            radius = float(np.hypot(*(holding - centre).T).max())
            outside = float(np.hypot(*(points - centre).T).max()) - radius
            if outside <= _SLACK * scale and (best is None or radius < best[2]):
                best = holding, centre, radius
    if best is None:  # three or four points on one line to the last digit: the far two hold it
        far = max(
            combinations(range(len(points)), 2),
            key=lambda pair: np.hypot(*(points[pair[0]] - points[pair[1]])),
        )
        holding = points[list(far)]
        best = holding, holding.mean(axis=0), float(np.hypot(*(holding[0] - holding[1])) / 2)
    return best


def _circumcentre(corners: Floats) -> Floats | None:
    """Centre of the circle through three points; None when they lie on one line."""
    first, second = corners[1] - corners[0], corners[2] - corners[0]
    twice_area = 2.0 * float(first[0] * second[1] - first[1] * second[0])
    if twice_area == 0.0:
        return None
    squares = np.array([first @ first, second @ second])
    across = np.array(
        [second[1] * squares[0] - first[1] * squares[1], first[0] * squares[1] - second[0] * squares[0]]
    )
    return np.asarray(corners[0] + across / twice_area)
