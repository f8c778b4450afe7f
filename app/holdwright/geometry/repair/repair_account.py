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
    """How far mending may go; lengths in the sculpt's own unit."""

    extent: float
    """Largest size of the whole sculpt, to which the welding distance is tied."""
    largest_hole: float = 1.0
    """Widest hole that is closed, as a share of the piece's own extent (the diagonal of its box)."""
    voxel: float | None = None
    """Of a rebuilt surface; None: a 120th of the piece's largest side."""
    open_back: bool = False
    """Whether a sheet with one open rim gets a flat back."""


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
    """What was done to one piece; lengths and volumes in the sculpt's own unit."""

    grade: Grade
    """Either "mended": its own surface, closed, and cut where it crosses itself; "rebuilt": a new one all
    over."""
    merged: int = 0
    moved: float = 0.0
    """merged and moved: vertices made one though not equal, and the farthest any went."""
    dropped: int = 0
    """Triangles left out: degenerate, double, or loose scraps."""
    turned: int = 0
    """Triangles wound the other way than the rest."""
    walls: int = 0
    """Triangles left out that had inside, or outside, on both sides."""
    crowded: int = 0
    """Edges that more than two triangles shared."""
    sheets: int = 0
    """Open sheets and loose faces that were taken for the surface of one solid; 0 where it hung together."""
    holes: tuple[ClosedHole, ...] = ()
    """Those that were closed."""
    doubled: float = 0.0
    """Volume that the piece enclosed twice by overlapping itself."""
    anew: float = 0.0
    """Share of the solid whose surface was made anew on a grid."""
    voxel: float = 0.0
    """Of that grid, else 0."""
    away: Deviation = NONE
    """Distances from the sculpt to the solid; what lies inside the solid counts as none."""
    added: Deviation = NONE
    """Distances from the solid's surface, filled holes apart, to the sculpt."""
    before: float | None = None
    """Volume as it came; None where it was not closed."""
    after: float = 0.0
    """Volume of the solid."""
    counted: float = 0.0
    """Volume by lines through the surface, counted apart from the kernel."""


@dataclass(frozen=True)
class Defect:
    """Why a surface bounds no solid."""

    kind: Literal[
        "flat", "open sheet", "wide hole", "several rims", "crossed rim", "one-sided", "empty", "not closed"
    ]
    """Either "flat": it has no volume; "open sheet": its rim is about as wide as itself; "wide hole": wider
    than holes are closed; "several rims": a sheet with more than one; "crossed rim": a sheet whose rim
    crosses itself as seen along its back; "one-sided": as a Moebius strip; "empty": it encloses nothing;
    "not closed": and not mended."""
    triangles: int
    """Number of triangles."""
    open_edges: int = 0
    crowded_edges: int = 0
    flipped_edges: int = 0
    """open_edges, crowded_edges, flipped_edges: edges of one triangle alone (of an open sheet: those of its
    rim); of more than two; of two that face opposite ways."""
    hole: float = 0.0
    largest_hole: float = 1.0
    """hole and largest_hole: width of its widest hole, and of the widest that is closed, as shares of its
    extent."""
    rims: tuple[float, ...] = ()
    """Widths of the rims in the way, in the sculpt's unit."""


@dataclass(frozen=True, eq=False)
class Body:
    """A connected surface before it has a name: a solid, or why it is none; see `SculptPiece`."""

    triangles: int
    bounds: Floats
    solid: Solid | None = None
    defect: Defect | None = None
    turned: bool = False
    surface: Mesh | None = None
    """The surface itself where it is not closed, for mending."""
    mending: Mending | None = None
