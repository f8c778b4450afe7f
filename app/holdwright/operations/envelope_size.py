"""Size as the envelope measures it: by the scale step, which meets it, and by the trim, which checks it."""

from collections.abc import Sequence

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.envelope import smallest_circle


def factor_to(rule: str, asked: Sequence[float], silhouette: Floats, size: Sequence[float]) -> float:
    """Give what lengths are to be multiplied by to meet an envelope.

    Parameters
    ----------
    rule, asked
        As of `Envelope`, "factor" excepted.
    silhouette
        (n, 2) points, seen along the wall normal.
    size
        Extent along x, y, z.
    """
    has, requested = _lengths(rule, asked, silhouette, size)
    return float((requested / has).min())


def departure_from(rule: str, asked: Sequence[float], silhouette: Floats, size: Sequence[float]) -> float:
    """Give by how much a hold is larger than its envelope in the length that sets its size, mm."""
    has, requested = _lengths(rule, asked, silhouette, size)
    tightest = int(np.argmin(requested / has))
    return float(has[tightest] - requested[tightest])


def _lengths(
    rule: str, asked: Sequence[float], silhouette: Floats, size: Sequence[float]
) -> tuple[Floats, Floats]:
    """Give the lengths that a rule measures, and what each is to be."""
    requested = np.array(asked)
    if rule == "circle":
        return np.array([smallest_circle(silhouette).diameter]), requested
    if rule == "box":
        return np.array(size)[requested > 0.0], requested[requested > 0.0]
    return np.array([size[("width", "height", "depth").index(rule)]]), requested
