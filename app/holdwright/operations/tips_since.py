"""What became of the tips that were cut on the sculpt before."""

from collections.abc import Sequence

import numpy as np
from scipy.optimize import linear_sum_assignment

from holdwright.hold.finding import Finding, Point
from holdwright.hold.finding_builder import limit_of, new_finding


def tips_since(before: Sequence[Point] | None, now: Sequence[Point]) -> list[Finding]:
    """Match the tips cut to those cut on the sculpt before, and tell of each difference.

    Parameters
    ----------
    before, now
        Where flats were cut and are, in one frame, mm; None where the former is not known.
    """
    if before is None:
        return []
    old, new = np.array(before).reshape(-1, 3), np.array(now).reshape(-1, 3)
    apart = np.linalg.norm(old[:, None] - new[None], axis=2)
    same = limit_of("tip_followed")
    # Beyond that distance no tip is another one's successor, however the others are paired.
    rows, columns = linear_sum_assignment(np.where(apart <= same, apart, 1e3 * same + apart))
    pairs = [(a, b) for a, b in zip(rows.tolist(), columns.tolist(), strict=True) if apart[a, b] <= same]
    moved = [
        new_finding("tip_moved_since", float(apart[a, b]), where=now[b])
        for a, b in pairs
        if apart[a, b] > limit_of("tip_moved_since")
    ]
    gone = [
        _unmatched("tip_uncut_since", apart[a], before[a]) for a in _others(len(old), [a for a, _ in pairs])
    ]
    come = [
        _unmatched("tip_cut_since", apart[:, b], now[b]) for b in _others(len(new), [b for _, b in pairs])
    ]
    return [*gone, *come, *moved]


def _others(count: int, matched: Sequence[int]) -> list[int]:
    return sorted(set(range(count)) - set(matched))


def _unmatched(code: str, away: np.ndarray[tuple[int], np.dtype[np.float64]], place: Point) -> Finding:
    """Tell of a tip that none on the other sculpt is near to."""
    least = float(away.min()) if len(away) else None
    nearest = "" if least is None else f"; the nearest is {least:.1f} mm away"
    return new_finding(code, least, where=place, nearest=nearest)
