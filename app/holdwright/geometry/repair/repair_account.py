"""What was done to a sculpt's surface to make a solid of it."""

from dataclasses import dataclass
from typing import Literal

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.deviation import NONE, Deviation
from holdwright.geometry.mesh.solid import Solid

Grade = Literal["as sculpted", "mended", "rebuilt"]


@dataclass(frozen=True)
class Limits:
    """How far mending may go; lengths in the sculpt's own unit.

    Attributes
    ----------
    extent
        Largest size of the whole sculpt, to which the welding distance is tied.
    largest_hole
        Widest hole that is closed, as a share of the piece's own extent (the diagonal of its box).
    voxel
        Of a rebuilt surface; None: a 120th of the piece's largest side.
    """

    extent: float
    largest_hole: float = 1.0
    voxel: float | None = None


@dataclass(frozen=True)
class Hole:
    """A hole that was closed: its greatest width, area, how far its rim is off a plane, and where it is."""

    kind: Literal["flat", "fair"]
    span: float
    area: float
    lift: float
    middle: tuple[float, float, float]


@dataclass(frozen=True)
class Mending:
    """What was done to one piece; lengths and volumes in the sculpt's own unit.

    Attributes
    ----------
    grade
        "mended": its own surface closed, made anew in places at most; "rebuilt": a new surface all over.
    merged, moved
        Vertices made one though not equal, and the farthest any went.
    dropped
        Triangles left out: degenerate, double, or loose scraps.
    turned
        Triangles wound the other way than the rest.
    walls
        Triangles left out that had inside, or outside, on both sides.
    crowded
        Edges that more than two triangles shared.
    sheets
        Open sheets and loose faces that were taken for the surface of one solid; 0 where it hung together.
    holes
        Those that were closed.
    doubled
        Volume that the piece enclosed twice by overlapping itself.
    anew
        Share of the solid whose surface was made anew on a grid.
    voxel
        Of that grid, else 0.
    away
        Distances from the sculpt to the solid; what lies inside the solid counts as none.
    added
        Distances from the solid's surface, filled holes apart, to the sculpt.
    before
        Volume as it came; None where it was not closed.
    after
        Volume of the solid.
    counted
        Volume by lines through the surface, counted apart from the kernel.
    """

    grade: Grade
    merged: int = 0
    moved: float = 0.0
    dropped: int = 0
    turned: int = 0
    walls: int = 0
    crowded: int = 0
    sheets: int = 0
    holes: tuple[Hole, ...] = ()
    doubled: float = 0.0
    anew: float = 0.0
    voxel: float = 0.0
    away: Deviation = NONE
    added: Deviation = NONE
    before: float | None = None
    after: float = 0.0
    counted: float = 0.0

    @property
    def disagreement(self) -> float:
        """Share by which the two volumes differ."""
        return abs(self.after / self.counted - 1.0) if self.counted > 0 else 0.0


@dataclass(frozen=True, eq=False)
class Mended:
    """A connected surface made closed, or the reason why not; see `SculptPiece.problem`."""

    triangles: int
    bounds: Floats
    solid: Solid | None
    problem: str = ""
    mending: Mending | None = None


def what_was_done(account: Mending) -> tuple[str, ...]:
    """Tell in clauses what was done to a piece; sizes apart, which depend on the unit."""
    told = [
        (account.merged, f"{account.merged} close vertices were made one"),
        (account.dropped, f"{_count(account.dropped, 'double or loose face')} left out"),
        (account.turned, f"{_count(account.turned, 'face')} turned round"),
        (account.walls, f"{_count(account.walls, 'face')} within left out"),
        (account.sheets, f"{account.sheets} sheets that do not join were taken for one surface"),
        (len(account.holes), f"{_count(len(account.holes), 'hole')} closed"),
        (account.doubled, f"overlap with itself of {_share(account.doubled, account.counted)} resolved"),
        (account.anew, f"{account.anew:.1%} of it made anew on a grid"),
    ]
    return tuple(text for number, text in told if number)


def what_was_counted(account: Mending) -> tuple[tuple[str, int], ...]:
    """Tell what was done to a piece in numbers: of what, and how many; none that is zero."""
    told = (
        ("close vertices made one", account.merged),
        ("double or loose faces left out", account.dropped),
        ("faces turned round", account.turned),
        ("faces within left out", account.walls),
        ("edges shared by more than two faces parted", account.crowded),
        ("sheets taken for one surface", account.sheets),
        ("holes closed", len(account.holes)),
    )
    return tuple((what, number) for what, number in told if number)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun} was" if number == 1 else f"{number} {noun}s were"


def _share(part: float, whole: float) -> str:
    return f"{part / whole:.2%}" if whole > 0 else "all"
