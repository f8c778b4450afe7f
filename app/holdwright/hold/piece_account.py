"""What import found and did on each piece of the sculpt, whether it is used or not."""

from dataclasses import dataclass
from typing import Literal

from holdwright.geometry.measure.deviation import Deviation
from holdwright.hold.finding import Point

Role = Literal["", "ground block", "loose piece", "scrap"]


@dataclass(frozen=True)
class Counted:
    """Something that was done to a piece, and to how many: ("holes closed", 3)."""

    what: str
    count: int


@dataclass(frozen=True)
class PieceAccount:
    """A connected piece of the sculpt; lengths and places in the sculpt's own unit and coordinates.

    Attributes
    ----------
    name
        As for `leave_out`.
    triangles
        Number of triangles as they came.
    low, high
        Least and greatest corner.
    volume
        None where the piece bounds none.
    grade
        "as sculpted", "mended" or "rebuilt"; "no solid" where none can be made of it.
    deviation
        Farthest that sculpt and solid are from each other, filled holes apart; None without a solid.
    done
        What was done to it, in clauses.
    problem
        Why it bounds no solid; blank where it does.
    counted
        The same as `done` where it can be counted.
    away
        Largest and mean distance from points spread over the sculpt's piece to the solid, those inside it
        counted as none. None without a solid.
    added
        The other way, from the solid's surface outside filled holes to the sculpt's. None without a solid.
    before
        Volume as it came; None where it was not closed. `volume` is that of the solid.
    anew
        Share of the solid whose surface was rebuilt on a grid.
    holes
        Middle and greatest width of each hole that was closed.
    doubled
        Share of its volume that it enclosed twice.
    groups
        Names of the sculpt's groups it is made of.
    role
        What it was taken for, blank for a part of the hold: a ground block, a piece that touches nothing of
        the largest body, or a scrap that bounds nothing. Whether such are left out is the recipe's to say.
    """

    name: str
    triangles: int
    low: Point
    high: Point
    volume: float | None
    grade: str
    deviation: float | None
    done: tuple[str, ...] = ()
    problem: str = ""
    counted: tuple[Counted, ...] = ()
    away: Deviation | None = None
    added: Deviation | None = None
    before: float | None = None
    anew: float = 0.0
    holes: tuple[tuple[Point, float], ...] = ()
    doubled: float = 0.0
    groups: tuple[str, ...] = ()
    role: Role = ""

    @property
    def size(self) -> Point:
        """Extent along the file's axes."""
        x, y, z = (high - low for low, high in zip(self.low, self.high, strict=True))
        return (x, y, z)
