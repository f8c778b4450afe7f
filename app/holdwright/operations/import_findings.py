"""What the import step has to tell of the pieces and of what came of them."""

from collections.abc import Sequence

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.fuse import LINES, Fused, counted_volume
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.geometry.repair.repair_account import Mending
from holdwright.hold.finding import Finding, point
from holdwright.hold.hold import Hold
from holdwright.operations.import_words import problem_of, what_was_done
from holdwright.units import MILLIMETRES, LengthUnit

MOST_TOLD = 6
"""More mended pieces than this are told in one finding."""

LEAST_TOLD = 0.001
"""Departures below this, in mm or percent of the extent, are told as none to speak of."""

AGREED, WRONG = 0.005, 0.05
"""Shares by which two ways of measuring a volume may differ, and from which one must be wrong."""


def unit_findings(sculpt: Sculpt, unit: LengthUnit | None) -> list[Finding]:
    """Report that the recipe takes the sculpt's numbers for another unit than its file does."""
    stated = next((each for each in MILLIMETRES if each == sculpt.unit), None)
    if stated is None or unit is None or stated == unit:
        return []
    extent = float(np.ptp(sculpt.bounds, axis=0).max())
    asked, meant = extent * MILLIMETRES[unit], extent * MILLIMETRES[stated]
    return [
        Finding(
            "unit_contradicts_file",
            "warning",
            f"The recipe takes the sculpt's numbers for {unit}, which makes it {asked:.4g} mm across; its "
            f"file says {stated}, which would make it {meant:.4g} mm.",
            measured=asked,
            limit=meant,
            unit="mm",
            advice='Set the unit to "as the file says", unless you know the file to be wrong.',
        )
    ]


def turned_findings(kept: Sequence[SculptPiece], matrix: Floats) -> list[Finding]:
    """Report pieces that came inside out."""
    turned = [piece for piece in kept if piece.turned]
    if not turned:
        return []
    names = ", ".join(f'"{piece.name}"' for piece in turned[:5]) + (" and others" if len(turned) > 5 else "")
    were = "piece was" if len(turned) == 1 else "pieces were"
    return [
        Finding(
            "inside_out",
            "note",
            f"{len(turned)} {were} inside out ({names}) and turned outward.",
            measured=float(len(turned)),
            where=point(move_points(matrix, turned[0].bounds.mean(axis=0))),
            advice="If one was meant as a hollow, leave it out: hollows are not cut this way.",
        )
    ]


def scraps_findings(scraps: Sequence[SculptPiece]) -> list[Finding]:
    """Report tiny pieces that bound nothing and were left out."""
    if not scraps:
        return []
    pieces = "scrap that bounds nothing was" if len(scraps) == 1 else "scraps that bound nothing were"
    return [
        Finding(
            "scraps_left_out",
            "warning",
            f'{len(scraps)} {pieces} left out ("{scraps[0].name}": {problem_of(scraps[0])}).',
            measured=float(len(scraps)),
            advice="Delete such bits in the sculpt.",
        )
    ]


def mended_findings(kept: Sequence[SculptPiece], matrix: Floats, *, sized: bool) -> list[Finding]:
    """Report each mended piece, or all in one where they are many."""
    pieces = [piece for piece in kept if piece.mending is not None]
    # No step may scale what has been said: a share of the extent stays true, and mm are as import made them.
    whole = max((float(piece.size.max()) for piece in kept), default=1.0)
    factor = float(matrix[0, 0]) if sized else 100.0 / whole
    if len(pieces) > MOST_TOLD:
        worst = max(pieces, key=_departure)
        before = f"{len(pieces)} pieces were mended; the one that departs most"
        return [_mended_finding(before, worst, matrix, factor, sized=sized)]
    return [_mended_finding("", piece, matrix, factor, sized=sized) for piece in pieces]


def _mended_finding(
    before: str, piece: SculptPiece, matrix: Floats, factor: float, *, sized: bool
) -> Finding:
    account = piece.mending or Mending("mended")
    rebuilt = account.grade == "rebuilt"
    subject = f'{before}, "{piece.name}",' if before else f'"{piece.name}"'
    where = account.holes[0].middle if account.holes else piece.bounds.mean(axis=0)
    done = listed(what_was_done(account)) or "its faces were put in order"
    departed = _departure(piece) * factor
    return Finding(
        "piece_rebuilt" if rebuilt else "piece_mended",
        "warning" if rebuilt or account.holes or account.doubled else "note",
        f"{subject} {'was made anew' if rebuilt else 'was mended'}: {done}; sculpt and solid are "
        f"{_apart(departed, sized=sized)}.",
        measured=departed,
        unit="mm" if sized else "%",
        where=point(move_points(matrix, np.asarray(where))),
        advice="Look at that place, or mend it in the sculpt.",
    )


def _apart(departed: float, *, sized: bool) -> str:
    if departed < LEAST_TOLD:
        return f"less than {LEAST_TOLD:g} {'mm' if sized else 'percent of the extent'} apart"
    return f"at most {departed:.2g}" + (" mm apart, before scaling" if sized else "% of the extent apart")


def _departure(piece: SculptPiece) -> float:
    account = piece.mending
    return 0.0 if account is None else max(account.away.largest, account.added.largest)


def volume_findings(kept: Sequence[SculptPiece], fused: Fused) -> list[Finding]:
    """Hold the fused volume against one counted along lines through the pieces, apart from the kernel."""
    # Few lines settle most sculpts; a doubt is worth more of them.
    for lines in (LINES, 8 * LINES, 128 * LINES):
        counted = counted_volume(kept, lines)
        off = abs(fused.material / counted - 1.0) if counted > 0 else 0.0
        if off <= AGREED:
            return []
    return [
        Finding(
            "volume_uncertain",
            "error" if off > WRONG else "warning",
            f"The fused volume is {off:.1%} off that counted along lines through the sculpt.",
            measured=off * 100,
            limit=AGREED * 100,
            unit="%",
            advice="Look at the pieces for faults, or leave out the one at fault.",
        )
    ]


def fused_findings(fused: Fused, loose: Sequence[Solid], imported: Hold, matrix: Floats) -> list[Finding]:
    """Report loose bodies and cavities, as shares of the hold while it has no true size."""
    findings = []
    scale = float(matrix[0, 0]) ** 3
    whole = imported.whole.volume
    if loose:
        volume = sum(body.volume for body in loose) * scale
        largest = loose[0].bounds.mean(axis=0)
        touch = "piece touches" if len(loose) == 1 else "pieces touch"
        findings.append(
            Finding(
                "loose_pieces_left_out",
                "warning",
                f"{len(loose)} {touch} nothing and {'was' if len(loose) == 1 else 'were'} left out "
                f"({_amount(volume, whole, imported.sized)}).",
                measured=volume / whole * 100,
                unit="%",
                where=point(move_points(matrix, largest)),
                advice="Join them to the sculpt, or keep loose pieces.",
            )
        )
    if len(fused.bodies) > 1 and not loose:
        findings.append(
            Finding(
                "several_bodies",
                "warning",
                f"The sculpt is {len(fused.bodies)} solids that do not touch; all were kept as asked.",
                measured=float(len(fused.bodies)),
                limit=1.0,
                advice="A hold is one piece: join them in the sculpt.",
            )
        )
    if fused.cavities:
        volume = sum(fused.cavities) * scale
        sealed = "cavity" if len(fused.cavities) == 1 else "cavities"
        were = f"{'was' if len(fused.cavities) == 1 else 'were'} {'kept' if fused.hollow else 'filled'}"
        findings.append(
            Finding(
                "cavities_kept" if fused.hollow else "cavities_filled",
                "warning",
                f"{len(fused.cavities)} sealed {sealed} inside the sculpt {were} "
                f"({_amount(volume, whole, imported.sized)}): trapped air prints as support.",
                measured=volume / whole * 100,
                unit="%",
            )
        )
    return findings


def _amount(volume: float, whole: float, sized: bool) -> str:
    share = f"{volume / whole:.2%} of the hold"
    return f"{volume / 1000:.2f} cm3 before scaling, {share}" if sized else share


def listed(parts: Sequence[str]) -> str:
    """Join parts of a sentence."""
    return ", ".join(parts[:-1]) + (" and " if len(parts) > 1 else "") + parts[-1] if parts else ""
