"""Size as the envelope measures it: by the scale step, which meets it, and by the steps after it."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.envelope import smallest_circle
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Envelope
from holdwright.hold.hold import Hold

SIZES: Final = (("XS", 60.0), ("S", 90.0), ("M", 130.0), ("L", 190.0), ("XL", 280.0), ("XXL", 450.0))
"""Names of sizes and the longest extent in mm each reaches (common practice, no source)."""


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


def departure_of(hold: Hold, solid: Solid) -> tuple[str, float] | None:
    """Give the rule of the envelope that a hold was scaled to as finished, and how much larger a solid is.

    Parameters
    ----------
    solid
        Of the hold or what a step makes of it, finished back on z = 0.

    Returns
    -------
    tuple or None
        The difference, mm, is of the length that sets the size; None where no finished size was requested.
    """
    envelopes = [each for each in hold.find(Envelope) if each.finished]
    if not envelopes or envelopes[-1].rule == "factor":
        return None
    envelope = envelopes[-1]
    size = (*solid.size[:2], float(solid.bounds[1, 2]))
    has, requested = _lengths(envelope.rule, envelope.asked, solid.vertices[:, :2], size)
    tightest = int(np.argmin(requested / has))
    return envelope.rule, float(has[tightest] - requested[tightest])


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


def size_name(longest: float) -> str:
    """Give the trade's name for a hold of this longest extent in mm."""
    return next((name for name, reach in SIZES if longest < reach), "volume")
