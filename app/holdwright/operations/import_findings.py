"""What deserves a look about the sculpt's pieces and what import made of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points, scale_of
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.fuse import LINES, Fused, counted_volume
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.geometry.repair.repair_account import Mending
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import counted, in_cm3, in_percent, limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.import_words import SUPPOSED_EXTENT, problem_of, what_was_done
from holdwright.units import MILLIMETRES, LengthUnit

MOST_TOLD = 3
"""More pieces that mending changed than this share one finding."""

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


@dataclass(frozen=True)
class SculptScale:
    """How lengths of the sculpt are told."""

    matrix: Floats
    """(4, 4) from the sculpt to the hold as imported."""
    factor: float
    """mm of the sculpt's unit; without a true size those of a hold of the usual one, since later steps do not
    scale findings."""
    size: str
    """What follows such a length in a sentence."""
    sized: bool
    """Whether the hold has a true size; else findings measure shares of its extent."""

    @classmethod
    def of(cls, used: Sequence[SculptPiece], matrix: Floats, *, sized: bool) -> "SculptScale":
        """Give the scale of an import."""
        if sized:
            return cls(matrix, scale_of(matrix), " before scaling", sized)
        low, high = np.array([piece.bounds for piece in used]).swapaxes(0, 1)
        extent = float((high.max(axis=0) - low.min(axis=0)).max())
        return cls(matrix, SUPPOSED_EXTENT / extent, f" on a hold of {SUPPOSED_EXTENT:.0f} mm", sized)

    def finding(self, code: str, length: float, middle: Floats, **figures: Any) -> Finding:
        """Report a length of the sculpt at a place of it."""
        measured = length * self.factor
        shown = f"{measured:.0f} mm" if measured >= 10.0 else f"{measured:.2g} mm"
        where = move_points(self.matrix, np.asarray(middle))
        finding = new_finding(code, measured, where=where, shown=shown, size=self.size, **figures)
        if self.sized:
            return finding
        return replace(finding, measured=100.0 * measured / SUPPOSED_EXTENT, limit=None, unit="%")


def scraps_findings(scraps: Sequence[SculptPiece], scale: SculptScale) -> list[Finding]:
    """Report pieces that bound nothing and were left out."""
    if not scraps:
        return []
    widest = max(scraps, key=lambda piece: float(piece.size.max()))
    size, middle = float(widest.size.max()), widest.bounds.mean(axis=0)
    words, problem = counted(len(scraps), "scrap"), problem_of(widest)
    return [scale.finding("scraps_left_out", size, middle, scraps=words, name=widest.name, problem=problem)]


def mended_findings(used: Sequence[SculptPiece], scale: SculptScale) -> list[Finding]:
    """Report what mending closed and moved, the greatest first, and in one note what nobody will see."""
    mended = sorted((piece for piece in used if piece.mending), key=lambda piece: -_departure(piece))
    least = limit_of("piece_mended:slight") / scale.factor
    moved = [piece for piece in mended if _departure(piece) >= least]
    slight = [piece for piece in mended[len(moved) :] if _done(piece)]
    findings = _hole_findings(mended, scale)
    for piece in moved if len(moved) <= MOST_TOLD else moved[:1]:
        rebuilt = piece.grade == "rebuilt"
        others = f" (and of {len(moved) - 1} other pieces by less)" if len(moved) > MOST_TOLD else ""
        finding = scale.finding(
            "piece_rebuilt" if rebuilt else "piece_mended",
            _departure(piece),
            piece.bounds.mean(axis=0),
            name=piece.name,
            others=others,
            done=listed(_done(piece)) or "its faces were put in order",
        )
        findings.append(finding)
    if slight:
        most, middle = _departure(slight[0]), slight[0].bounds.mean(axis=0)
        findings.append(
            scale.finding("piece_mended:slight", most, middle, pieces=counted(len(slight), "piece"))
        )
    return findings


def _hole_findings(mended: Sequence[SculptPiece], scale: SculptScale) -> list[Finding]:
    """Report the holes closed in one finding, and each back in another."""
    closed = [(piece.name, hole) for piece in mended if piece.mending for hole in piece.mending.holes]
    findings = [
        scale.finding("back_closed", hole.lift, np.array(hole.middle), name=name)
        for name, hole in closed
        if hole.kind == "back"
    ]
    holes = [each for each in closed if each[1].kind != "back"]
    if holes:
        name, widest = max(holes, key=lambda each: each[1].span)
        which = f'Closed a hole in "{name}",'
        if len(holes) > 1:
            which = f'Closed {len(holes)} holes, the widest, in "{name}",'
        findings.append(scale.finding("holes_closed", widest.span, np.array(widest.middle), which=which))
    return findings


def _done(piece: SculptPiece) -> tuple[str, ...]:
    return what_was_done(replace(piece.mending or Mending("mended"), holes=()))


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
    share = f"{in_percent(volume / whole)} of the hold"
    return f"{in_cm3(volume)} before scaling, {share}" if sized else share


def listed(parts: Sequence[str]) -> str:
    """Join parts of a sentence."""
    return ", ".join(parts[:-1]) + (" and " if len(parts) > 1 else "") + parts[-1] if parts else ""
