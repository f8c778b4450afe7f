"""What deserves a look about the sculpt's pieces and what import made of them."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.fuse import LINES, Fused, counted_volume
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.geometry.repair.repair_account import Mending
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import counted, limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.import_words import problem_of, what_was_done
from holdwright.units import MILLIMETRES, LengthUnit

MOST_TOLD = 6
"""More mended pieces than this share one finding."""

LEAST_TOLD = 0.001
"""Departures below this, in mm or percent of the extent, count as none."""

WRONG = 5.0
"""Percent by which two ways of measuring a volume differ where one must be wrong."""


def unit_findings(sculpt: Sculpt, unit: LengthUnit | None) -> list[Finding]:
    """Report that the recipe takes the sculpt's numbers for another unit than its file does."""
    stated = next((each for each in MILLIMETRES if each == sculpt.unit), None)
    if stated is None or unit is None or stated == unit:
        return []
    extent = float(np.ptp(sculpt.bounds, axis=0).max())
    as_read, meant = extent * MILLIMETRES[unit], extent * MILLIMETRES[stated]
    return [new_finding("unit_contradicts_file", as_read, meant, unit=unit, stated=stated)]


def turned_findings(used: Sequence[SculptPiece], matrix: Floats) -> list[Finding]:
    """Report pieces that came inside out."""
    turned = [piece for piece in used if piece.turned]
    if not turned:
        return []
    names = ", ".join(f'"{piece.name}"' for piece in turned[:5]) + (" and others" if len(turned) > 5 else "")
    where, pieces = move_points(matrix, turned[0].bounds.mean(axis=0)), counted(len(turned), "piece")
    return [new_finding("inside_out", float(len(turned)), where=where, pieces=pieces, names=names)]


def scraps_findings(scraps: Sequence[SculptPiece]) -> list[Finding]:
    """Report tiny pieces that bound nothing and were left out."""
    if not scraps:
        return []
    first, words = scraps[0], counted(len(scraps), "scrap")
    number = float(len(scraps))
    return [new_finding("scraps_left_out", number, scraps=words, name=first.name, problem=problem_of(first))]


def mended_findings(used: Sequence[SculptPiece], matrix: Floats, *, sized: bool) -> list[Finding]:
    """Report each mended piece, or all in one where they are many."""
    pieces = [piece for piece in used if piece.mending is not None]
    # Later steps do not scale findings: a share of the extent stays true, and mm are as import made them.
    whole = max((float(piece.size.max()) for piece in used), default=1.0)
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
    departed = _departure(piece) * factor
    where = account.holes[0].middle if account.holes else piece.bounds.mean(axis=0)
    finding = new_finding(
        "piece_rebuilt" if rebuilt else "piece_mended",
        departed,
        where=move_points(matrix, np.asarray(where)),
        severity="warning" if account.holes or account.doubled else None,
        subject=f'{before}, "{piece.name}",' if before else f'"{piece.name}"',
        done=listed(what_was_done(account)) or "its faces were put in order",
        apart=_apart(departed, sized=sized),
    )
    return replace(finding, unit="mm" if sized else "%")


def _apart(departed: float, *, sized: bool) -> str:
    if departed < LEAST_TOLD:
        return f"less than {LEAST_TOLD:g} {'mm' if sized else 'percent of the extent'} apart"
    return f"at most {departed:.2g}" + (" mm apart, before scaling" if sized else "% of the extent apart")


def _departure(piece: SculptPiece) -> float:
    account = piece.mending
    return 0.0 if account is None else max(account.away.largest, account.added.largest)


def volume_findings(used: Sequence[SculptPiece], fused: Fused) -> list[Finding]:
    """Hold the fused volume against one counted along lines through the pieces, apart from the kernel."""
    # Few lines settle most sculpts; a doubt is worth more of them.
    for lines in (LINES, 8 * LINES, 128 * LINES):
        counted_along = counted_volume(used, lines)
        off = 100.0 * abs(fused.material / counted_along - 1.0) if counted_along > 0 else 0.0
        if off <= limit_of("volume_uncertain"):
            return []
    return [new_finding("volume_uncertain", off, severity="error" if off > WRONG else None)]


def fused_findings(fused: Fused, loose: Sequence[Solid], imported: Hold, matrix: Floats) -> list[Finding]:
    """Report loose bodies and cavities, as shares of the hold while it has no true size."""
    findings = []
    scale = float(matrix[0, 0]) ** 3
    whole = imported.whole.volume
    if loose:
        volume = sum(body.volume for body in loose) * scale
        where, pieces = move_points(matrix, loose[0].bounds.mean(axis=0)), counted(len(loose), "piece")
        amount = _amount(volume, whole, imported.sized)
        findings.append(
            new_finding(
                "loose_pieces_left_out", volume / whole * 100, where=where, pieces=pieces, amount=amount
            )
        )
    if len(fused.bodies) > 1 and not loose:
        findings.append(new_finding("several_bodies", float(len(fused.bodies))))
    if fused.cavities:
        volume = sum(fused.cavities) * scale
        code = "cavities_kept" if fused.hollow else "cavities_filled"
        sealed = counted(len(fused.cavities), "cavity", "cavities")
        amount = _amount(volume, whole, imported.sized)
        findings.append(new_finding(code, volume / whole * 100, cavities=sealed, amount=amount))
    return findings


def _amount(volume: float, whole: float, sized: bool) -> str:
    share = f"{volume / whole:.2%} of the hold"
    return f"{volume / 1000:.2f} cm3 before scaling, {share}" if sized else share


def listed(parts: Sequence[str]) -> str:
    """Join parts of a sentence."""
    return ", ".join(parts[:-1]) + (" and " if len(parts) > 1 else "") + parts[-1] if parts else ""
