"""What was done to a sculpt's surface to make a solid of it."""

from dataclasses import dataclass
from typing import Literal

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.deviation import NONE, Deviation
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid

Grade = Literal["as sculpted", "mended", "rebuilt"]
HoleKind = Literal["flat", "fair", "back"]


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
    open_back
        Whether a sheet with one open rim gets a flat back.
    """

    extent: float
    largest_hole: float = 1.0
    voxel: float | None = None
    open_back: bool = False


@dataclass(frozen=True)
class ClosedHole:
    """A hole that was closed: its greatest width, area, lift as of `Filling`, and where it is."""

    kind: HoleKind
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
        "mended": its own surface, closed, and cut where it crosses itself; "rebuilt": a new one all over.
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
    holes: tuple[ClosedHole, ...] = ()
    doubled: float = 0.0
    anew: float = 0.0
    voxel: float = 0.0
    away: Deviation = NONE
    added: Deviation = NONE
    before: float | None = None
    after: float = 0.0
    counted: float = 0.0


@dataclass(frozen=True)
class Defect:
    """Why a surface bounds no solid.

    Attributes
    ----------
    kind
        "flat": it has no volume; "open sheet": its rim is about as wide as itself; "wide hole": wider than
        holes are closed; "several rims": a sheet with more than one; "crossed rim": a sheet whose rim crosses
        itself as seen along its back; "one-sided": as a Moebius strip; "empty": it encloses nothing; "not
        closed": and not mended.
    triangles
        Number of triangles.
    open_edges, crowded_edges, flipped_edges
        Edges of one triangle alone (of an open sheet: those of its rim); of more than two; of two that face
        opposite ways.
    hole, largest_hole
        Width of its widest hole, and of the widest that is closed, as shares of its extent.
    rims
        Widths of the rims in the way, in the sculpt's unit.
    """

    kind: Literal[
        "flat", "open sheet", "wide hole", "several rims", "crossed rim", "one-sided", "empty", "not closed"
    ]
    triangles: int
    open_edges: int = 0
    crowded_edges: int = 0
    flipped_edges: int = 0
    hole: float = 0.0
    largest_hole: float = 1.0
    rims: tuple[float, ...] = ()


@dataclass(frozen=True, eq=False)
class Body:
    """A connected surface before it has a name: a solid, or why it is none; see `SculptPiece`.

    Attributes
    ----------
    surface
        The surface itself where it is not closed, for mending.
    """

    triangles: int
    bounds: Floats
    solid: Solid | None = None
    defect: Defect | None = None
    turned: bool = False
    surface: Mesh | None = None
    mending: Mending | None = None
