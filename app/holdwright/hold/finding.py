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
    """Something a maker should know about the hold."""

    code: str
    """Stable name in lower case with underscores, such as ``thin_under_seat``."""
    severity: Severity
    """A "note": worth knowing; "warning": look before printing; "error": do not hang this on a wall."""
    message: str
    """One sentence with the figures in it."""
    measured: float | None = None
    limit: float | None = None
    """measured, limit: the figure found and the figure required, where such exist."""
    unit: str = ""
    """Unit of both: "mm", "mm2", "mm3", "deg", "%", "" for counts."""
    where: Point | None = None
    """Place on the hold in mm, or None: in the frame of the hold as the step left it, until `moved`."""
    advice: str = ""
    """What to try, one sentence."""

    def moved(self, matrix: Floats) -> "Finding":
        """Follow the hold through a similarity, as later steps turn, scale and lower it."""
        if self.where is None:
            return self
        return replace(self, where=point(move_points(matrix, np.array(self.where))))


def point(place: Iterable[float]) -> Point:
    """Give three numbers of any array-like as the plain tuple findings and features carry."""
    x, y, z = place
    return (float(x), float(y), float(z))
