"""What deserves a look: a finding never stops the work."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points

Severity = Literal["note", "warning", "error"]

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Finding:
    """Something a maker should know about the hold.

    Attributes
    ----------
    code
        Stable name in lower case with underscores, such as ``thin_under_seat``.
    severity
        "note": worth knowing; "warning": look before printing; "error": do not hang this on a wall.
    message
        One sentence with the figures in it.
    measured, limit
        The figure found and the figure required, where such exist.
    unit
        Unit of both: "mm", "mm2", "mm3", "deg", "%", "" for counts.
    where
        Place on the hold in mm, or None: in the frame of the hold as the step left it, until `moved`.
    advice
        What to try, one sentence.
    """

    code: str
    severity: Severity
    message: str
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    where: Point | None = None
    advice: str = ""

    def moved(self, matrix: Floats) -> "Finding":
        """Follow the hold through a similarity, as later steps turn, scale and lower it."""
        if self.where is None:
            return self
        return replace(self, where=point(move_points(matrix, np.array(self.where))))


def point(place: Iterable[float]) -> Point:
    """Give three numbers of any array-like as the plain tuple findings and features carry."""
    x, y, z = place
    return (float(x), float(y), float(z))
