"""From the raw sculpt to one solid."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, ClassVar, Literal

import numpy as np
from pydantic import Field

from holdwright.errors import InputError, ParameterError
from holdwright.geometry.mesh.frame import move_points, scaling
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.fuse import Fused, SculptSurvey, fuse, survey
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.hold.earlier_sculpt import EarlierSculpt
from holdwright.hold.feature import GroundBlock
from holdwright.hold.finding import Finding, point
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Operation, Outcome, Run, Upgrade
from holdwright.operations.import_findings import (
    SculptScale,
    fused_findings,
    mended_findings,
    scraps_findings,
    turned_findings,
    unit_findings,
    volume_findings,
)
from holdwright.operations.import_ground import ground_findings, slab_findings
from holdwright.operations.import_pieces import names_of_loose, piece_accounts, without_scraps
from holdwright.operations.import_registration import AS_IT_LIES, BroughtBack, brought_back, lying_findings
from holdwright.operations.import_words import SUPPOSED_EXTENT, problem_of
from holdwright.parameters.kinds import Length, Names, Parameters, Share
from holdwright.parameters.piece_names import matches
from holdwright.units import MILLIMETRES, LengthUnit

UNSIZED_EXTENT = 100.0
"""Largest extent given to a sculpt whose unit is yet to come from its envelope."""


CLOSE_FLAT = 'set "Open back" to "close flat"'
"""What the refusal of a sheet offers; the window offers it as a click where it reads this."""


class ImportSculptParameters(Parameters):
    """How to read the sculpt."""

    unit: Literal["by envelope", "as the file says", "mm", "cm", "m", "inch"] = Field(
        "by envelope", title="Unit"
    )
    """Unit of the sculpt's numbers; by envelope: unknown, the scale step sets the size. 3MF and glTF files
    state theirs."""
    ground_block: Literal["leave out", "keep"] = Field("leave out", title="Ground block")
    """What to do with a slab that the sculpt stands on."""
    loose_pieces: Literal["leave out", "keep"] = Field("leave out", title="Loose pieces")
    """What to do with pieces that touch nothing; the largest always stays."""
    leave_out: Names = Field((), title="Leave out")
    """Names of pieces to leave out; * stands for any letters, to fit revised sculpts."""
    mend: Literal["mend", "refuse"] = Field("mend", title="Faulty pieces")
    """What to do with pieces that are open, wound wrongly or overlap themselves."""
    largest_hole: Share = Field(1.0, title="Largest hole")
    """Widest hole to close, as a share of its piece's extent; a back cut open is such a hole."""
    open_back: Literal["refuse", "close flat"] = Field("refuse", title="Open back")
    """What to do with a sheet that has one open rim and no back, such as a relief; a flat back lies behind
    all of it, on the side that its faces look away from."""
    rebuild_grid: Length = Field(1.0, ge=0.1, le=10.0, title="Rebuild grid")
    """Grid on which what cannot be mended is rebuilt; finer where that is thin. With an unknown unit, the
    sculpt is taken to become 120 mm across."""
    moved: Literal["bring back", "keep its size", "leave"] = Field("bring back", title="Moved sculpt")
    """What to do with a revised sculpt that was moved, turned or rescaled since the recipe was made; keep its
    size: move and turn it back alone."""
    cavities: Literal["fill", "keep"] = Field("fill", title="Sealed cavities")
    """What to do with hollows without an opening; trapped air prints as support."""


def _grid_renamed(values: dict[str, Any]) -> dict[str, Any]:
    """Lead version 2 to 3, where `voxel` is called `rebuild_grid`."""
    return {"rebuild_grid" if name == "voxel" else name: value for name, value in values.items()}


class ImportSculpt(Operation[ImportSculptParameters]):
    """Make a solid of every piece and fuse all into one."""

    name: ClassVar[str] = "import_sculpt"
    title: ClassVar[str] = "Import"
    summary: ClassVar[str] = "Reads the sculpt's pieces, mends each and fuses them into one solid."
    order: ClassVar[int] = 10
    version: ClassVar[int] = 3
    upgrades: ClassVar[Mapping[int, Upgrade]] = {2: _grid_renamed}
    parameters = ImportSculptParameters

    def apply(self, hold: Hold, parameters: ImportSculptParameters, run: Run) -> Outcome:
        """Fuse the sculpt's pieces; see `Operation.apply`.

        Raises
        ------
        InputError
            When a piece that is not left out bounds no solid.
        """
        if hold.sculpt is None:
            raise ParameterError("There is no sculpt to import; put one into the recipe first.")
        unit = _unit(hold.sculpt, parameters)
        found = surveyed(hold.sculpt, parameters, replace(run, progress=run.progress.part(0.0, 0.5)))
        used, findings = _chosen(found, parameters)
        used, scraps = without_scraps(used, loose=parameters.loose_pieces == "leave out")
        _refuse_faulty(used, MILLIMETRES[unit] if unit else 0.0)
        run.progress.report(0.5, f"fusing {len(used)} pieces")
        fused = fuse(used, cavities=parameters.cavities)
        run.progress.report(0.9, "checking the solid")
        solid, loose = _largest(fused, parameters)
        back = AS_IT_LIES if parameters.moved == "leave" else brought_back(hold.sculpt, run)
        factor = _scale(unit, solid, back, run.earlier)
        own_size = parameters.moved == "keep its size"
        matrix = scaling(factor) @ (back.sized_as_it_is(run.earlier) if own_size else back.matrix)
        # A block that is kept is part of the hold: its face is no wall. Of several, the inner one's is.
        blocks = found.ground if parameters.ground_block == "leave out" else ()
        ground = [
            GroundBlock(point(each.face.point), point(each.face.normal), each.piece.name)
            for each in blocks[-1:]
        ]
        sized = unit is not None
        imported = replace(hold, sculpt=None, sized=sized, laid=back.laid)
        imported = imported.with_whole(solid, *ground).moved(matrix)
        if hold.sculpt.notes:
            findings.append(new_finding("noted_on_reading", notes=" ".join(hold.sculpt.notes)))
        if parameters.unit != "by envelope":
            findings += unit_findings(hold.sculpt, unit)
        scale = SculptScale.of(used, matrix, sized=sized)
        if run.earlier is not None:
            findings += lying_findings(back, run.earlier, factor if sized else None, own_size=own_size)
        findings += ground_findings(blocks, solid, scale)
        if parameters.ground_block == "leave out":
            findings += slab_findings(used, solid, scale)
        # What costs cm3 comes before what costs mm.
        findings += volume_findings(used, fused)
        findings += fused_findings(fused, loose, imported, matrix)
        findings += mended_findings(used, scale)
        findings += scraps_findings(scraps, scale)
        findings += turned_findings([piece for piece in used if piece.name not in fused.hollows], matrix)
        pieces = piece_accounts(
            found, [piece.name for piece in scraps], names_of_loose(used, fused.bodies[1:])
        )
        return Outcome(imported, tuple(findings), _result(found, used, loose), pieces=pieces)


def surveyed(sculpt: Sculpt, parameters: ImportSculptParameters, run: Run) -> SculptSurvey:
    """Take a sculpt apart and mend its pieces as the parameters say.

    It takes longer than all else, and which pieces are left out changes nothing about it: so it is stored.
    """
    extent = float(np.ptp(sculpt.bounds, axis=0).max())
    supposed = _millimetres_per_unit(_unit(sculpt, parameters), extent, SUPPOSED_EXTENT)
    voxel = parameters.rebuild_grid / supposed
    made_from = (sculpt.digest, parameters.mend, parameters.largest_hole, parameters.open_back, voxel)
    stored = run.cache.get(ImportSculpt.name, made_from) if run.cache else None
    if isinstance(stored, SculptSurvey):
        return stored
    found = survey(
        sculpt,
        run.progress,
        mending=parameters.mend == "mend",
        largest_hole=parameters.largest_hole,
        voxel=voxel,
        open_back=parameters.open_back == "close flat",
    )
    if run.cache:
        weight = sum(piece.solid.weight for piece in found.pieces if piece.solid is not None)
        run.cache.put(ImportSculpt.name, made_from, found, weight)
    return found


def _unit(sculpt: Sculpt, parameters: ImportSculptParameters) -> LengthUnit | None:
    """Give the unit of the sculpt's numbers; None where that is yet to come from the envelope."""
    if parameters.unit == "by envelope":
        return None
    if parameters.unit != "as the file says":
        return parameters.unit
    declared = next((unit for unit in MILLIMETRES if unit == sculpt.unit), None)
    if declared is None:
        raise ParameterError(
            "The unit is to be as the file says, but the sculpt's file says none; choose one, or take it by "
            "envelope."
        )
    return declared


def _chosen(
    found: SculptSurvey, parameters: ImportSculptParameters
) -> tuple[list[SculptPiece], list[Finding]]:
    """Part the pieces into those to fuse and those left out, saying why."""
    out: set[str] = set()
    findings: list[Finding] = []
    for pattern in parameters.leave_out:
        named = {piece.name for piece in found.pieces if matches(pattern, piece.name)}
        out |= named
        if not named:
            findings.append(new_finding("piece_not_met", pattern=pattern))
    if parameters.ground_block == "leave out":
        out |= {each.piece.name for each in found.ground}
    used = [piece for piece in found.pieces if piece.name not in out]
    if not used:
        raise ParameterError(
            f"All {len(found.pieces)} pieces are left out, so nothing is there to finish; keep at least one."
        )
    return used, findings


def _refuse_faulty(used: Sequence[SculptPiece], scale: float) -> None:
    """Refuse pieces without a solid, in a sentence; `scale`: mm of the sculpt's unit, 0 where unknown."""
    faulty = [piece for piece in used if piece.solid is None]
    if not faulty:
        return
    problems = [problem_of(piece, scale) for piece in faulty]
    flat = all(piece.defect and piece.defect.kind == "open sheet" for piece in faulty)
    offer, leave = (f", or {CLOSE_FLAT}", "") if flat else ("", "or ")
    if len(faulty) == len(used) > 3 and len(set(problems)) == 1:
        raise InputError(
            f"The sculpt's {len(used)} pieces bound no solid: of each, {problems[0]}; "
            f"export it as one closed surface{offer}."
        )
    if len(used) == 1:
        raise InputError(
            f'The sculpt\'s one piece, "{faulty[0].name}", bounds no solid: {problems[0]}; '
            f"close it in the sculpt{offer}."
        )
    told = "; ".join(
        f'"{piece.name}": {problem}' for piece, problem in list(zip(faulty, problems, strict=True))[:3]
    )
    more = f"; and {len(faulty) - 3} more" if len(faulty) > 3 else ""
    raise InputError(
        f"{len(faulty)} of {len(used)} pieces of the sculpt bound no solid ({told}{more}); "
        f"close them in the sculpt, {leave}leave them out by name{offer}."
    )


def _largest(fused: Fused, parameters: ImportSculptParameters) -> tuple[Solid, tuple[Solid, ...]]:
    """Give the solid to go on with and the loose bodies left out."""
    if parameters.loose_pieces == "keep":
        return fused.whole, ()
    return fused.bodies[0], fused.bodies[1:]


def _scale(unit: LengthUnit | None, solid: Solid, back: BroughtBack, earlier: EarlierSculpt | None) -> float:
    """Give the scale of the import: without a unit, that of the earlier sculpt where it lies on that."""
    if unit is None and back.registration is not None and not back.is_other and earlier and earlier.scale:
        return earlier.scale
    extent = np.ptp(move_points(back.matrix, solid.vertices), axis=0).max()
    return _millimetres_per_unit(unit, float(extent), UNSIZED_EXTENT)


def _millimetres_per_unit(unit: LengthUnit | None, extent: float, supposed: float) -> float:
    """Give the scale: where no unit is known, that which makes `extent` as large as is supposed."""
    return supposed / extent if unit is None else MILLIMETRES[unit]


def _result(found: SculptSurvey, used: Sequence[SculptPiece], loose: Sequence[Solid]) -> str:
    out = len(found.pieces) - len(used)
    text = f"{len(used)} piece{'' if len(used) == 1 else 's'} fused"
    if out:
        text += f", {out} left out"
    if loose:
        text += f", {len(loose)} loose"
    return text
