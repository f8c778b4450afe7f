"""What deserves a look about a bore, in words."""

from collections.abc import Iterable

import numpy as np

from holdwright.errors import ParameterError
from holdwright.geometry.hole.bore import BoreCut, BoreShape
from holdwright.geometry.hole.bore_check import BoreFigures
from holdwright.geometry.hole.bore_spacing import between
from holdwright.geometry.hole.bore_walls import Least
from holdwright.geometry.hole.place_criteria import Wanted
from holdwright.hold.finding import Finding, Severity, point

GRAVE = 0.5
"""Less than this share of what is wanted is an error, not a warning."""
EVEN = 0.05
"""Differences up to this are not worth a word, mm."""
LIP_SPECK = 10.0
"""A lip cut by less than this is not worth a word, mm3."""


def place_findings(
    shape: BoreShape, figures: BoreFigures, wanted: Wanted, asked: float, stack: float
) -> list[Finding]:
    """Say all that deserves a look about where a bore is.

    Parameters
    ----------
    asked
        Height the seat was asked for at, mm.
    stack
        Height of washer and head together, mm.
    """
    return [
        *_shortfalls(figures, wanted),
        *_seat(shape, figures, wanted, asked, stack),
        *_lip(figures),
    ]


def _shortfalls(figures: BoreFigures, wanted: Wanted) -> list[Finding]:
    """Thickness, walls and edge distance that are less than wanted."""
    rows = (
        (
            "thin_under_seat",
            figures.thickness,
            wanted.rule.under_seat,
            "Under the seat there is",
            "Choose a place where the hold is higher, a smaller washer, or less under the seat.",
        ),
        (
            "thin_wall_at_bore",
            figures.wall_at_bore,
            wanted.wall,
            "The wall round the clearance hole is",
            "Move the bore away from that side.",
        ),
        (
            "thin_wall_at_pocket",
            figures.wall_at_pocket,
            wanted.wall,
            "The wall round the pocket is",
            "Move the bore away from that side, or take a smaller washer.",
        ),
        (
            "near_edge",
            figures.edge,
            wanted.edge,
            "From the axis to the edge of the back there is",
            "Move the bore inward.",
        ),
    )
    return [
        _short(code, least, limit, words, advice)
        for code, least, limit, words, advice in rows
        if least.value < limit - 1e-6
    ]


def _short(code: str, least: Least, limit: float, words: str, advice: str) -> Finding:
    severity: Severity = "error" if least.value < GRAVE * limit else "warning"
    return Finding(
        code,
        severity,
        f"{words} only {max(least.value, 0.0):.1f} mm; {limit:g} mm are wanted.",
        measured=least.value,
        limit=limit,
        unit="mm",
        where=point(least.place),
        advice=advice,
    )


def neighbour_findings(
    shape: BoreShape, others: Iterable[BoreShape], wall: float, top: float
) -> list[Finding]:
    """Say which other bores are nearer than a wall, in a hold up to `top` high, mm.

    Raises
    ------
    ParameterError
        When two bores meet.
    """
    findings = []
    for other in others:
        least = between(shape, other, top)
        if least.value <= 0.0:
            raise ParameterError(
                f"A bore at {shape.x:.1f}, {shape.y:.1f} mm was asked for, but it meets the bore at "
                f"{other.x:.1f}, {other.y:.1f} mm; put them {wall - least.value:.1f} mm farther apart."
            )
        if least.value < wall:
            words = f"Between this pocket and that of the bore at {other.x:.1f}, {other.y:.1f} mm there is"
            findings.append(_short("near_bore", least, wall, words, "Move them apart."))
    return findings


def _seat(
    shape: BoreShape, figures: BoreFigures, wanted: Wanted, asked: float, stack: float
) -> list[Finding]:
    findings = []
    share = figures.seat_share
    if share.value < 1.0:
        area = np.pi / 4 * (shape.ring_diameter**2 - shape.clearance_diameter**2)
        area += shape.slot * (shape.ring_diameter - shape.clearance_diameter)
        findings.append(
            Finding(
                "seat_broken",
                "error",
                f"Only {share.value:.0%} of the seat's {area:.0f} mm2 is on material: the pocket breaks out.",
                measured=share.value * area,
                limit=area,
                unit="mm2",
                where=point(share.place),
                advice="Move the bore inward, set the seat deeper, or take a smaller washer.",
            )
        )
    elif abs(asked - shape.seat) > EVEN and figures.thickness.value >= wanted.rule.under_seat - 1e-6:
        findings.append(
            Finding(
                "seat_moved",
                "note",
                f"The seat was asked for {asked:.1f} mm above the back; it is at {shape.seat:.1f} mm, where "
                "all of it is on material.",
                measured=shape.seat,
                limit=asked,
                unit="mm",
                where=(shape.x, shape.y, shape.seat),
            )
        )
    proud = shape.seat + stack - figures.lowest_edge.value
    if share.value >= 1.0 and proud > EVEN:
        findings.append(
            Finding(
                "head_proud",
                "note",
                f"The head stands {proud:.1f} mm above the lowest surface over the pocket.",
                measured=proud,
                limit=0.0,
                unit="mm",
                where=point(figures.lowest_edge.place),
                advice="Choose a place where the hold is higher, or set the seat deeper.",
            )
        )
    return findings


def _lip(figures: BoreFigures) -> list[Finding]:
    lip = figures.lip_volume
    if lip.value < LIP_SPECK:
        return []
    return [
        Finding(
            "lip_cut",
            "warning",
            f"An overhanging lip stands in the way of bolt, washer and key: the pocket cuts "
            f"{_volume(lip.value)} out of it.",
            measured=lip.value,
            limit=0.0,
            unit="mm3",
            where=point(lip.place),
            advice="Move the bore out from under the lip.",
        )
    ]


def piece_findings(cut: BoreCut) -> list[Finding]:
    """Say what came loose."""
    findings = []
    for volume, centre in cut.slivers:
        findings.append(
            Finding(
                "sliver_left",
                "warning",
                f"The bore cut a sliver of {_volume(volume)} loose; it was dropped.",
                measured=volume,
                unit="mm3",
                where=point(centre),
                advice="Look at the place: the wall there was very thin.",
            )
        )
    for volume, centre in cut.loose:
        findings.append(
            Finding(
                "hold_parted",
                "error",
                f"The bore parts the hold: a piece of {_volume(volume)} came loose.",
                measured=volume,
                unit="mm3",
                where=point(centre),
                advice="Move the bore, or take a smaller washer.",
            )
        )
    return findings


def _volume(volume: float) -> str:
    return f"{volume / 1000:.2g} cm3" if volume >= 100.0 else f"{volume:.2g} mm3"
