"""From the raw sculpt to one solid."""

from collections.abc import Sequence
from dataclasses import replace
from fnmatch import fnmatchcase
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from holdwright.errors import InputError, ParameterError
from holdwright.geometry.frame import move_points, scaling
from holdwright.geometry.fuse import Fused, Survey, fuse, survey
from holdwright.geometry.pieces import SculptPiece
from holdwright.geometry.solid import Solid
from holdwright.hold.feature import GroundBlock
from holdwright.hold.finding import Finding, point
from holdwright.hold.hold import Hold
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.parameters.kinds import Kind, Names, Parameters
from holdwright.units import MILLIMETRES, LengthUnit

UNSIZED_EXTENT = 100.0
"""Largest extent given to a sculpt whose unit is yet to come from its envelope."""


class ImportSculptParameters(Parameters):
    """How to read the sculpt."""

    unit: Annotated[Literal["by envelope", "mm", "cm", "m", "inch"], Kind("choice")] = Field(
        "by envelope",
        title="Unit",
        description="Unit of the sculpt's numbers; by envelope: none is assumed, the scale step sizes it.",
    )
    ground_block: Annotated[Literal["leave out", "keep"], Kind("choice")] = Field(
        "leave out",
        title="Ground block",
        description="What to do with a slab that the sculpt stands on.",
    )
    loose_pieces: Annotated[Literal["leave out", "keep"], Kind("choice")] = Field(
        "leave out",
        title="Loose pieces",
        description="What to do with pieces that touch nothing; the largest always stays.",
    )
    leave_out: Names = Field(
        (),
        title="Leave out",
        description="Names of pieces to leave out; * stands for any letters, to fit revised sculpts.",
    )


class ImportSculpt(Operation[ImportSculptParameters]):
    """Turn every closed piece outward and fuse all into one solid."""

    name: ClassVar[str] = "import_sculpt"
    title: ClassVar[str] = "Import"
    summary: ClassVar[str] = "Reads the sculpt's pieces, turns each outward and fuses them into one solid."
    order: ClassVar[int] = 10
    parameters = ImportSculptParameters

    def apply(self, hold: Hold, parameters: ImportSculptParameters, run: Run) -> Outcome:
        """Fuse the sculpt's pieces; see `Operation.apply`.

        Raises
        ------
        InputError
            When a piece that is not left out is no closed solid.
        """
        if hold.sculpt is None:
            raise ParameterError("There is no sculpt to import; put one into the recipe first.")
        found = survey(hold.sculpt, run.progress.part(0.0, 0.3))
        kept, findings = _chosen(found, parameters)
        _refuse_faulty(kept)
        run.progress.report(0.3, f"fusing {len(kept)} pieces")
        fused = fuse(kept)
        run.progress.report(0.9, "checking the solid")
        solid, loose = _largest(fused, parameters)
        matrix = scaling(_millimetres_per_unit(parameters.unit, solid))
        ground = [
            GroundBlock(each.piece.name, point(each.face.point), point(each.face.normal))
            for each in found.ground
        ]
        sized = parameters.unit != "by envelope"
        imported = replace(hold, sculpt=None, sized=sized).with_whole(solid, *ground).moved(matrix)
        findings += _turned_findings(kept, matrix)
        findings += _fused_findings(fused, loose, imported, matrix)
        return Outcome(imported, tuple(findings), _result(found, kept, loose))


def _chosen(found: Survey, parameters: ImportSculptParameters) -> tuple[list[SculptPiece], list[Finding]]:
    """Part the pieces into those to fuse and those left out, saying why."""
    out: set[str] = set()
    findings: list[Finding] = []
    for pattern in parameters.leave_out:
        met = {piece.name for piece in found.pieces if _answers_to(piece.name, pattern)}
        out |= met
        if not met:
            findings.append(
                Finding(
                    "piece_not_met",
                    "warning",
                    f'No piece is named "{pattern}", so nothing was left out for it.',
                    advice="Check the names of the pieces in this sculpt.",
                )
            )
    if parameters.ground_block == "leave out":
        for each in found.ground:
            out.add(each.piece.name)
            text = f'The slab "{each.piece.name}" was taken for the ground block and left out.'
            findings.append(
                Finding("ground_block_left_out", "note", text, advice="Keep it if it is part of the hold.")
            )
    kept = [piece for piece in found.pieces if piece.name not in out]
    if not kept:
        raise ParameterError(
            f"All {len(found.pieces)} pieces are left out, so nothing is there to finish; keep at least one."
        )
    return kept, findings


def _answers_to(name: str, pattern: str) -> bool:
    """Tell whether a piece, or the group it is part of, is meant by a pattern."""
    return fnmatchcase(name, pattern) or fnmatchcase(name.rpartition("/")[0] or name, pattern)


def _refuse_faulty(kept: Sequence[SculptPiece]) -> None:
    faulty = [piece for piece in kept if piece.solid is None]
    if not faulty:
        return
    told = "; ".join(f'"{piece.name}": {piece.problem}' for piece in faulty[:3])
    more = f"; and {len(faulty) - 3} more" if len(faulty) > 3 else ""
    raise InputError(
        f"{len(faulty)} of {len(kept)} pieces of the sculpt are not closed solids ({told}{more}); "
        "close them in the sculpt, or leave them out by name."
    )


def _largest(fused: Fused, parameters: ImportSculptParameters) -> tuple[Solid, tuple[Solid, ...]]:
    """Give the solid to go on with and the loose bodies left out."""
    if parameters.loose_pieces == "keep":
        return fused.whole, ()
    return fused.bodies[0], fused.bodies[1:]


def _millimetres_per_unit(unit: Literal["by envelope"] | LengthUnit, solid: Solid) -> float:
    if unit == "by envelope":
        return UNSIZED_EXTENT / float(np.max(solid.size))
    return MILLIMETRES[unit]


def _turned_findings(kept: Sequence[SculptPiece], matrix: np.ndarray) -> list[Finding]:
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


def _fused_findings(
    fused: Fused, loose: Sequence[Solid], imported: Hold, matrix: np.ndarray
) -> list[Finding]:
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
        findings.append(
            Finding(
                "cavities_filled",
                "warning",
                f"{len(fused.cavities)} sealed {sealed} inside the sculpt "
                f"{'was' if len(fused.cavities) == 1 else 'were'} filled "
                f"({_amount(volume, whole, imported.sized)}): trapped air prints as support.",
                measured=volume / whole * 100,
                unit="%",
            )
        )
    return findings


def _amount(volume: float, whole: float, sized: bool) -> str:
    share = f"{volume / whole:.2%} of the hold"
    return f"{volume / 1000:.2f} cm3, {share}" if sized else share


def _result(found: Survey, kept: Sequence[SculptPiece], loose: Sequence[Solid]) -> str:
    out = len(found.pieces) - len(kept)
    text = f"{len(kept)} piece{'' if len(kept) == 1 else 's'} fused"
    if out:
        text += f", {out} left out"
    if loose:
        text += f", {len(loose)} loose"
    return text
