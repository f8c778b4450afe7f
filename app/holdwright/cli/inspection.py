"""What a sculpt's file holds, as the import step would take it; all figures in file units."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from holdwright.errors import GeometryError, InputError
from holdwright.export.parts import written_as
from holdwright.files.reading import read_sculpt
from holdwright.files.recognise import ENDINGS
from holdwright.files.unit_guess import guess_unit, guess_words
from holdwright.geometry.boolean import overlap_volume
from holdwright.geometry.fuse import Fused, Survey, fuse, survey
from holdwright.geometry.mending_account import Mending, what_was_done
from holdwright.geometry.pieces import SculptPiece
from holdwright.geometry.sculpt import Sculpt
from holdwright.geometry.solid import Solid
from holdwright.operations.import_findings import volume_findings
from holdwright.progress import Progress
from holdwright.units import MILLIMETRES, LengthUnit

Verdict = Literal["sound", "mended", "rebuilt", "refused"]


@dataclass(frozen=True)
class InspectedPiece:
    """A connected piece of the sculpt.

    Attributes
    ----------
    volume
        None where the piece bounds none.
    left_out
        Why the import step leaves it out; blank where it does not.
    grade
        "as sculpted", "mended" or "rebuilt"; "refused" where no solid can be made of it.
    deviation
        Farthest that sculpt and solid are from each other, filled holes apart; None without a solid.
    done
        What was done to it, in clauses.
    problem
        Why it bounds no solid; blank where it does.
    """

    name: str
    triangles: int
    size: tuple[float, ...]
    volume: float | None
    closed: bool
    left_out: str
    grade: str
    deviation: float | None
    done: tuple[str, ...]
    problem: str


@dataclass(frozen=True)
class InspectedSolid:
    """What the pieces make when fused.

    Attributes
    ----------
    volume
        In the file's own unit, cubed.
    volume_mm3
        In cubic millimetres where the file declares its unit, else None.
    """

    closed: bool
    volume: float
    volume_mm3: float | None
    triangles: int


@dataclass(frozen=True)
class Inspection:
    """What a file holds.

    Attributes
    ----------
    format
        Of the file; blank where it could not be told.
    verdict
        "sound": fused as it came; "mended": after repairs, see `reasons`; "rebuilt": its surface was made
        anew; "refused": no solid can be made of it.
    reasons
        Sentences on what was met.
    unit
        The unit the file declares, None where it declares none.
    unit_guess
        That unit, else the one that makes the sculpt the size of a hold, or None.
    unit_reason
        What that unit makes of the sculpt's largest extent; None without one.
    pieces
        What the file holds; `left_out` as import does it unless told otherwise.
    solid
        What the pieces bound together, loose ones included, a ground block not.
    """

    format: str
    verdict: Verdict
    reasons: tuple[str, ...]
    unit: LengthUnit | None
    unit_guess: LengthUnit | None
    unit_reason: str | None
    pieces: tuple[InspectedPiece, ...]
    solid: InspectedSolid | None


def inspect(path: Path, progress: Progress) -> Inspection:
    """Read a file, take it apart and fuse it."""
    try:
        sculpt = read_sculpt(path, progress.part(0.0, 0.4))
    except InputError as error:
        return Inspection(_format_by_name(path), "refused", (str(error),), None, None, None, (), None)
    found = survey(sculpt, progress.part(0.4, 0.7))
    ground = {each.piece.name for each in found.ground}
    kept = [piece for piece in found.pieces if piece.name not in ground]
    progress.report(0.7, f"fusing {len(kept)} pieces")
    fused, problems = _fused(kept)
    loose = _loose(kept, fused) if fused is not None else set()
    solid = fused.whole if fused is not None else None
    unit, extent = _unit(sculpt), _extent(sculpt)
    doubts = [finding.message for finding in volume_findings(kept, fused)] if fused is not None else []
    reasons = (*problems, *doubts, *sculpt.notes, *_notes(found, loose, fused))
    return Inspection(
        format=sculpt.format,
        verdict=_verdict(kept, solid),
        reasons=reasons,
        unit=_declared(sculpt),
        unit_guess=unit,
        unit_reason=guess_words(extent, unit) if unit else None,
        pieces=tuple(_piece(piece, ground, loose) for piece in found.pieces),
        solid=_solid(solid, _declared(sculpt)) if solid is not None else None,
    )


def _fused(kept: Sequence[SculptPiece]) -> tuple[Fused | None, tuple[str, ...]]:
    faulty = [piece for piece in kept if piece.solid is None]
    if faulty or not kept:
        met = tuple(f'"{piece.name}" bounds no solid: {piece.problem}.' for piece in faulty)
        return None, met or ("There is nothing beside the ground block.",)
    try:
        return fuse(kept), ()
    except GeometryError as error:
        return None, (str(error),)


def _loose(kept: Sequence[SculptPiece], fused: Fused) -> set[str]:
    """Name the pieces that are no part of the largest body."""
    if len(fused.bodies) == 1:
        return set()
    largest = fused.bodies[0]
    return {
        piece.name
        for piece in kept
        if piece.solid is not None and overlap_volume(piece.solid, largest) < 0.5 * piece.solid.volume
    }


def _verdict(kept: Sequence[SculptPiece], solid: Solid | None) -> Verdict:
    if solid is None:
        return "refused"
    grades = {piece.grade for piece in kept}
    if "rebuilt" in grades:
        return "rebuilt"
    return "mended" if "mended" in grades else "sound"


def _notes(found: Survey, loose: set[str], fused: Fused | None) -> list[str]:
    notes = [f'"{piece.name}" came inside out and was turned outward.' for piece in found.turned]
    notes += [
        f'"{piece.name}" was mended: {_account(piece.mending)}.' for piece in found.pieces if piece.mending
    ]
    notes += [f'"{each.piece.name}" was taken for the ground block.' for each in found.ground]
    notes += [f'"{name}" touches nothing of the largest body.' for name in sorted(loose)]
    if fused is not None and fused.cavities:
        notes.append(
            f"{len(fused.cavities)} sealed cavities were filled, {sum(fused.cavities):.6g} in volume."
        )
    return notes


def _account(mending: Mending) -> str:
    done = "; ".join(what_was_done(mending)) or "its faces were put in order"
    away = max(mending.away.largest, mending.added.largest)
    return f"{done}; sculpt and solid are at most {away:.3g} apart"


def _unit(sculpt: Sculpt) -> LengthUnit | None:
    return _declared(sculpt) or guess_unit(_extent(sculpt))


def _extent(sculpt: Sculpt) -> float:
    low, high = sculpt.bounds
    return float((high - low).max())


def _piece(piece: SculptPiece, ground: set[str], loose: set[str]) -> InspectedPiece:
    why = "ground block" if piece.name in ground else "loose piece" if piece.name in loose else ""
    return InspectedPiece(
        name=piece.name,
        triangles=piece.triangles,
        size=tuple(float(extent) for extent in piece.size),
        volume=piece.solid.volume if piece.solid is not None else None,
        closed=piece.solid is not None,
        left_out=why,
        grade=piece.grade if piece.solid is not None else "refused",
        deviation=_deviation(piece),
        done=what_was_done(piece.mending) if piece.mending is not None else (),
        problem=piece.problem,
    )


def _deviation(piece: SculptPiece) -> float | None:
    if piece.solid is None:
        return None
    account = piece.mending
    return 0.0 if account is None else max(account.away.largest, account.added.largest)


def _declared(sculpt: Sculpt) -> LengthUnit | None:
    return next((unit for unit in MILLIMETRES if unit == sculpt.unit), None)


def _solid(solid: Solid, unit: LengthUnit | None) -> InspectedSolid:
    volume = solid.volume
    return InspectedSolid(
        closed=written_as(solid)[1].closed,
        volume=volume,
        volume_mm3=volume * MILLIMETRES[unit] ** 3 if unit else None,
        triangles=solid.triangle_count,
    )


def _format_by_name(path: Path) -> str:
    return ENDINGS.get(path.suffix.lower(), "")


def plain(inspection: Inspection) -> dict[str, Any]:
    """Give the inspection as plain JSON values; a piece's reason stands beside whether it is left out."""
    from dataclasses import asdict

    content = asdict(inspection)
    for piece in content["pieces"]:
        piece["reason"] = piece["left_out"]
        piece["left_out"] = bool(piece["reason"])
    return content
