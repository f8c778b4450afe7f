"""What a sculpt's file holds, as the import step would take it; all figures in file units."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from holdwright.errors import GeometryError, InputError
from holdwright.export.parts import written_as
from holdwright.files.format_detection import ENDINGS
from holdwright.files.reading import read_sculpt
from holdwright.geometry.measure.deviation import Deviation
from holdwright.geometry.mesh.boolean import overlap_volume
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.fuse import Fused, SculptSurvey, fuse, survey
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.hold.piece_account import PieceAccount
from holdwright.operations.import_findings import MOST_TOLD, volume_findings
from holdwright.operations.import_pieces import piece_accounts, without_scraps
from holdwright.operations.import_words import problem_of
from holdwright.progress import Progress
from holdwright.units import MILLIMETRES, LengthUnit, guess_unit, guess_words

Verdict = Literal["sound", "mended", "rebuilt", "refused"]


@dataclass(frozen=True)
class Inspection:
    """What a file holds."""

    format: str
    """Of the file; blank where it could not be recognised."""
    verdict: Verdict
    """One of "sound": fused as it came; "mended": after repairs, see `reasons`; "rebuilt": its surface was
    made anew; "refused": no solid can be made of it."""
    reasons: tuple[str, ...]
    """Sentences on what was found."""
    unit: LengthUnit | None = None
    """The unit the file declares, None where it declares none."""
    unit_guess: LengthUnit | None = None
    """That unit, else the one that makes the sculpt the size of a hold, or None."""
    unit_reason: str | None = None
    """What that unit makes of the sculpt's largest extent; None without one."""
    pieces: tuple[PieceAccount, ...] = ()
    """What the file holds; those with a `role` are left out unless the import step says otherwise."""
    solid: dict[str, Any] | None = None
    """What the pieces bound together, loose ones included, a ground block not: ``closed``, ``triangles``,
    ``volume`` in the file's unit and ``volume_mm3``, None where the file declares no unit."""


def inspect(path: Path, progress: Progress) -> Inspection:
    """Read a file, take it apart and fuse it."""
    try:
        sculpt = read_sculpt(path, progress.part(0.0, 0.4))
    except InputError as error:
        return Inspection(ENDINGS.get(path.suffix.lower(), ""), "refused", (str(error),))
    found = survey(sculpt, progress.part(0.4, 0.7))
    ground = {each.piece.name for each in found.ground}
    used, scraps = without_scraps([piece for piece in found.pieces if piece.name not in ground], loose=True)
    progress.report(0.7, f"fusing {len(used)} pieces")
    fused, problems = _fused(used)
    loose = _loose(used, fused) if fused is not None else set()
    solid = fused.whole if fused is not None else None
    declared = next((unit for unit in MILLIMETRES if unit == sculpt.unit), None)
    extent = float(np.ptp(sculpt.bounds, axis=0).max())
    unit = declared or guess_unit(extent)
    doubts = [finding.message for finding in volume_findings(used, fused)] if fused is not None else []
    pieces = piece_accounts(found, [piece.name for piece in scraps], loose)
    reasons = (*problems, *doubts, *sculpt.notes, *_notes(found, pieces, fused))
    return Inspection(
        format=sculpt.format,
        verdict=_verdict(used, solid),
        reasons=reasons,
        unit=declared,
        unit_guess=unit,
        unit_reason=guess_words(extent, unit) if unit else None,
        pieces=pieces,
        solid=_plain_solid(solid, declared) if solid is not None else None,
    )


def _fused(used: Sequence[SculptPiece]) -> tuple[Fused | None, tuple[str, ...]]:
    faulty = [piece for piece in used if piece.solid is None]
    if faulty or not used:
        problems = tuple(f'"{piece.name}" bounds no solid: {problem_of(piece)}.' for piece in faulty)
        return None, problems or ("There is nothing beside the ground block.",)
    try:
        return fuse(used), ()
    except GeometryError as error:
        return None, (str(error),)


def _loose(used: Sequence[SculptPiece], fused: Fused) -> set[str]:
    """Name the pieces that are no part of the largest body."""
    if len(fused.bodies) == 1:
        return set()
    largest = fused.bodies[0]
    return {
        piece.name
        for piece in used
        if piece.solid is not None and overlap_volume(piece.solid, largest) < 0.5 * piece.solid.volume
    }


def _verdict(used: Sequence[SculptPiece], solid: Solid | None) -> Verdict:
    if solid is None:
        return "refused"
    grades = {piece.grade for piece in used}
    if "rebuilt" in grades:
        return "rebuilt"
    return "mended" if "mended" in grades else "sound"


def _notes(found: SculptSurvey, pieces: Sequence[PieceAccount], fused: Fused | None) -> list[str]:
    turned = [f'"{piece.name}" came inside out and was turned outward.' for piece in found.turned]
    notes = _few(turned, f"{len(turned)} pieces came inside out and were turned outward.")
    mended = [piece for piece, taken in zip(pieces, found.pieces, strict=True) if taken.mending]
    mended.sort(key=lambda piece: -(piece.deviation or 0.0))
    told = [f'"{piece.name}" was mended: {_account(piece)}.' for piece in mended]
    notes += _few(told, f"{len(told)} pieces were mended. The most: {told[0]}" if told else "")
    notes += [f'"{each.piece.name}" was taken for the ground block.' for each in found.ground]
    told = [
        f'"{piece.name}" bounds nothing, is small and was left out: {piece.problem}.'
        for piece in pieces
        if piece.role == "scrap"
    ]
    notes += _few(told, f"{len(told)} small pieces bound nothing and were left out.")
    loose = sorted(piece.name for piece in pieces if piece.role == "loose piece")
    told = [f'"{name}" touches nothing of the largest body.' for name in loose]
    notes += _few(told, f"{len(told)} pieces touch nothing of the largest body.")
    if fused is not None and fused.cavities:
        notes.append(
            f"{len(fused.cavities)} sealed cavities were filled, {sum(fused.cavities):.6g} in volume."
        )
    return notes


def _few(told: list[str], together: str) -> list[str]:
    """Give sentences, or one in place of many."""
    return told if len(told) <= MOST_TOLD else [together]


def _account(piece: PieceAccount) -> str:
    done = "; ".join(piece.done) or "its faces were put in order"
    apart = f"at most {piece.deviation:.3g}" if piece.deviation else "nowhere"
    return f"{done}; sculpt and solid are {apart} apart"


def _plain_solid(solid: Solid, unit: LengthUnit | None) -> dict[str, Any]:
    return {
        "closed": written_as(solid)[1].closed,
        "volume": solid.volume,
        "volume_mm3": solid.volume * MILLIMETRES[unit] ** 3 if unit else None,
        "triangles": solid.triangle_count,
    }


def plain(inspection: Inspection) -> dict[str, Any]:
    """Give the inspection as plain JSON values.

    Figures are in the file's own units; keys that end in ``_mm`` are null where the file declares none. Of
    each piece:

    ``grade``
        "as sculpted", "mended" or "rebuilt"; "refused" where no solid can be made of it, see ``problem``.
    ``left_out``, ``reason``
        Whether the import step leaves it out unless it says otherwise, and why.
    ``done``, ``counted``
        What was done to it: in clauses, and in numbers as a list of ``what`` and ``count``.
    ``overlap_share``, ``anew_share``
        Share of its volume that it enclosed twice; share of the solid's surface made anew on a grid.
    ``deviation``
        The larger of the two largest distances; null without a solid.
    ``distance``
        ``largest`` and ``mean`` ``sculpt_to_solid`` (what lies inside the solid counts as none) and
        ``solid_to_sculpt_outside_fills``; null without a solid.
    ``volume_before``, ``volume_after``
        Of the piece as it came, null where it was not closed, and of the solid, which is ``volume`` too.
    """
    millimetres = MILLIMETRES[inspection.unit] if inspection.unit else None
    pieces = [_plain_piece(piece, millimetres) for piece in inspection.pieces]
    return {**asdict(replace(inspection, pieces=())), "pieces": pieces}


def _plain_piece(piece: PieceAccount, millimetres: float | None) -> dict[str, Any]:
    distance = None
    if piece.away is not None and piece.added is not None:
        distance = {
            "sculpt_to_solid": _plain_distance(piece.away, millimetres),
            "solid_to_sculpt_outside_fills": _plain_distance(piece.added, millimetres),
        }
    return {
        "name": piece.name,
        "triangles": piece.triangles,
        "size": list(piece.size),
        "volume": piece.volume,
        "closed": piece.volume is not None,
        "left_out": bool(piece.role),
        "reason": piece.role,
        "grade": "refused" if piece.volume is None else piece.grade,
        "problem": piece.problem,
        "done": list(piece.done),
        "counted": [asdict(each) for each in piece.counted],
        "overlap_share": piece.doubled,
        "anew_share": piece.anew,
        "deviation": piece.deviation,
        "distance": distance,
        "volume_before": piece.before,
        "volume_after": piece.volume,
    }


def _plain_distance(found: Deviation, millimetres: float | None) -> dict[str, float | None]:
    figures: dict[str, float | None] = {"largest": found.largest, "mean": found.mean}
    for name, figure in (("largest_mm", found.largest), ("mean_mm", found.mean)):
        figures[name] = figure * millimetres if millimetres else None
    return figures
