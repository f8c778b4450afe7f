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
    """A connected piece of the sculpt; lengths and places in the sculpt's own unit and coordinates."""

    name: str
    """As for `leave_out`."""
    triangles: int
    """Number of triangles as they came."""
    low: Point
    high: Point
    """low, high: least and greatest corner."""
    volume: float | None
    """None where the piece bounds none."""
    grade: str
    """One of "as sculpted", "mended" or "rebuilt"; "no solid" where none can be made of it."""
    deviation: float | None
    """Farthest that sculpt and solid are from each other, filled holes apart; None without a solid."""
    done: tuple[str, ...] = ()
    """What was done to it, in clauses."""
    problem: str = ""
    """Why it bounds no solid; blank where it does."""
    counted: tuple[Counted, ...] = ()
    """The same as `done` where it can be counted."""
    away: Deviation | None = None
    """Largest and mean distance from points spread over the sculpt's piece to the solid, those inside it
    counted as none. None without a solid."""
    added: Deviation | None = None
    """The other way, from the solid's surface outside filled holes to the sculpt's. None without a solid."""
    before: float | None = None
    """Volume as it came; None where it was not closed. `volume` is that of the solid."""
    anew: float = 0.0
    """Share of the solid whose surface was rebuilt on a grid."""
    holes: tuple[tuple[Point, float], ...] = ()
    """Middle and greatest width of each hole that was closed."""
    doubled: float = 0.0
    """Share of its volume that it enclosed twice."""
    groups: tuple[str, ...] = ()
    """Names of the sculpt's groups it is made of."""
    role: Role = ""
    """What it was taken for, blank for a part of the hold: a ground block, a piece that touches nothing of
    the largest body, or a scrap that bounds nothing. Whether such are left out is the recipe's to say."""

    @property
    def size(self) -> Point:
        """Extent along the file's axes."""
        x, y, z = (high - low for low, high in zip(self.low, self.high, strict=True))
        return (x, y, z)
