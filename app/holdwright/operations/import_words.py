"""What mending did, and why a surface bounds no solid, in words."""

import numpy as np

from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.geometry.repair.repair_account import Mending
from holdwright.hold.finding_builder import in_percent

SUPPOSED_EXTENT = 120.0
"""Final extent, mm, that a sculpt without a unit is taken to get where lengths are given or told in mm."""


def problem_of(piece: SculptPiece, scale: float = 0.0) -> str:
    """Say why a piece is no solid, as the end of a sentence; blank for a solid.

    `scale` is how many mm the sculpt's unit has; without it widths are told as shares of the extent.
    """
    defect = piece.defect
    if defect is None:
        return ""
    extent = float(np.linalg.norm(piece.size)) or 1.0
    rims = " and ".join(f"{rim * scale:.3g} mm" if scale else f"{rim / extent:.0%}" for rim in defect.rims)
    rims += "" if scale else " of its extent"
    kinds = {
        "flat": "it is flat: it has no volume",
        "open sheet": f"it is an open sheet without a back, its rim of {defect.open_edges} edges about as "
        "wide as itself",
        "wide hole": f"it has a hole as wide as {defect.hole:.0%} of its own extent, and holes are closed up "
        f"to {defect.largest_hole:.0%}",
        "several rims": f"it is a sheet with several open rims, {rims} wide, and a flat back closes but one",
        "crossed rim": f"it is an open sheet whose rim, {rims} wide, crosses itself as seen from behind, so "
        "that a flat back would too",
        "one-sided": "it has but one side, like a Moebius strip, so it has no inside",
        "empty": "it encloses nothing",
    }
    if defect.kind == "flat" and defect.triangles == 1:
        return "it is a single loose triangle"
    faults = [
        (defect.open_edges, _count(defect.open_edges, "open edge")),
        (defect.crowded_edges, f"{_count(defect.crowded_edges, 'edge')} shared by more than two faces"),
        (defect.flipped_edges, f"{_count(defect.flipped_edges, 'edge')} whose two faces look opposite ways"),
    ]
    found = " and ".join(text for number, text in faults if number)
    return kinds.get(defect.kind) or (f"it has {found}" if found else "its faces do not bound a solid")


def what_was_done(account: Mending) -> tuple[str, ...]:
    """Tell in clauses what was done to a piece; sizes apart, which depend on the unit."""
    overlap = account.doubled / account.counted if account.counted > 0 else 1.0
    backs = sum(hole.kind == "back" for hole in account.holes)
    holes = len(account.holes) - backs
    told = [
        (account.merged, f"{account.merged} close vertices were made one"),
        (account.dropped, f"{_were(account.dropped, 'double or loose face')} left out"),
        (account.turned, f"{_were(account.turned, 'face')} turned round"),
        (account.walls, f"{_were(account.walls, 'face')} within left out"),
        (account.sheets, f"{account.sheets} sheets that do not join were taken for one surface"),
        (holes, f"{_were(holes, 'hole')} closed"),
        (backs, "a flat back was put behind it"),
        (account.doubled, f"overlap with itself{_share(' of {}', overlap)} resolved"),
        (account.anew, f"{_share('{} of it', account.anew) or 'a little of it'} made anew on a grid"),
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


def _share(text: str, share: float) -> str:
    """Put a share into a text; blank where it is too small to say anything."""
    return text.format(in_percent(share)) if share >= 0.001 else ""


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _were(number: int, noun: str) -> str:
    return f"{_count(number, noun)} {'was' if number == 1 else 'were'}"
