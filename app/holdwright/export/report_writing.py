"""Puts a replay and the files made of it into a report."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from holdwright import __version__
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import HoldwrightError
from holdwright.export.parts import FinishedParts, Part, written_as
from holdwright.export.report import (
    ApartSection,
    BoreSection,
    DistanceSection,
    EnvelopeRequest,
    EnvelopeSection,
    FeaturesSection,
    FileSection,
    FindingSection,
    PieceSection,
    PocketSection,
    RecipeSection,
    Report,
    RimSection,
    SculptSection,
    Size,
    SolidSection,
    StepSection,
)
from holdwright.geometry.measure.envelope import smallest_circle
from holdwright.geometry.measure.solid_figures import measure
from holdwright.geometry.mesh.closedness import Closedness
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import (
    BackPocket,
    Bore,
    Collar,
    Engraving,
    Envelope,
    PartingFace,
    Rim,
    ScrewHole,
    TipCut,
)
from holdwright.hold.finding import Point
from holdwright.hold.hold import WHOLE, Hold
from holdwright.hold.piece_account import PieceAccount
from holdwright.joint.advice.json_values import plain_joint
from holdwright.operations.import_sculpt import ImportSculptParameters
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import dump_recipe, recipe_digest
from holdwright.pipeline.replaying.print_checks import plain_checks
from holdwright.pipeline.replaying.replay import Replay, StepResult
from holdwright.pipeline.views.raw_survey import why_left_out
from holdwright.printing.allowances import Allowances, in_print_size
from holdwright.printing.part_estimates import all_settings, part_estimates, plain_estimates
from holdwright.strength.plain_strength import plain_strength


@dataclass(frozen=True, eq=False)
class Job:
    """A replayed sculpt, and what to call it."""

    name: str
    """Of the hold: files are called by it."""
    sculpt: Sculpt
    sculpt_file: Path
    """sculpt, sculpt_file: the sculpt that was replayed, and where it was read from."""
    recipe: Recipe
    recipe_name: str
    """recipe, recipe_name: the recipe as replayed, and its name."""
    replay: Replay
    """What came of it."""
    also_read: tuple[Path, ...] = ()
    """Other files that are read meanwhile, recipe and further sculpts; none of them is written over."""


def report_of(
    job: Job,
    finished: FinishedParts,
    holding: Mapping[Part, Sequence[str]],
    files: Sequence[FileSection],
    key: str,
) -> Report:
    """Write the report.

    Parameters
    ----------
    holding
        For each part of the finished hold the names of the files that hold it.
    files
        All files written.
    key
        As of `export_key`.
    """
    hold = job.replay.hold
    allowances = finished.allowances
    return Report(
        program=f"Holdwright {__version__}",
        key=key,
        sculpt=SculptSection.of(
            job.sculpt, name=job.name, file=job.sculpt_file.name, triangles=job.sculpt.triangle_count
        ),
        pieces=tuple(_pieces(job)),
        recipe=RecipeSection(
            name=job.recipe_name, digest=recipe_digest(job.recipe), content=dump_recipe(job.recipe)
        ),
        steps=tuple(map(_step, job.replay.results)),
        envelope=_envelope(hold, allowances.true_size),
        allowances=allowances,
        pose=finished.pose,
        features=_features(hold),
        whole=_whole(job.replay, holding),
        solids={part.name: _solid(part.solid, part.closedness, held) for part, held in holding.items()},
        joint=_joint(job.replay),
        print=print_figures(job, allowances),
        strength=plain_strength(job.replay.strength) if job.replay.strength else None,
        findings=tuple(FindingSection.of(found, step=step) for step, found in job.replay.findings_by_step),
        files=tuple(files),
        cautions=job.replay.cautions,
    )


def _pieces(job: Job) -> Iterator[PieceSection]:
    """Report on every piece that the import found, in mm of the finished hold."""
    scale = float(np.linalg.norm(job.replay.hold.placement[:3, 0]))
    parameters_of = {step.id: step.parameters for step in job.recipe.steps}
    for step in job.replay.results:
        parameters = parameters_of.get(step.id)
        for piece in step.pieces:
            reason = why_left_out(piece, parameters) if isinstance(parameters, ImportSculptParameters) else ""
            yield PieceSection.of(
                piece,
                size_mm=[extent * scale for extent in piece.size],
                left_out=bool(reason),
                reason=reason,
                overlap_share=piece.doubled,
                anew_share=piece.anew,
                distance=_apart(piece, scale),
                volume_before_mm3=_volume(piece.before, scale),
                volume_after_mm3=_volume(piece.volume, scale),
            )


def _apart(piece: PieceAccount, scale: float) -> ApartSection | None:
    if piece.away is None or piece.added is None:
        return None
    forth, back = (
        DistanceSection(largest_mm=found.largest * scale, mean_mm=found.mean * scale)
        for found in (piece.away, piece.added)
    )
    return ApartSection(sculpt_to_solid=forth, solid_to_sculpt_outside_fills=back)


def _volume(volume: float | None, scale: float) -> float | None:
    return None if volume is None else volume * scale**3


def _step(step: StepResult) -> StepSection:
    measures = step.measures
    return StepSection.of(
        step,
        volume_mm3=measures.volume_mm3 if measures else None,
        bounds_mm=measures.bounds_mm if measures else None,
    )


def _envelope(hold: Hold, true_size: Point) -> EnvelopeSection:
    points = np.concatenate([solid.vertices[:, :2] for solid in hold.solids.values()])
    finished = Size(size_mm=true_size, circle_mm=smallest_circle(points).diameter)
    envelope = next(reversed(hold.find(Envelope)), None)
    if envelope is None:
        return EnvelopeSection(asked=None, scaled=None, factor=None, finished=finished)
    return EnvelopeSection(
        asked=EnvelopeRequest(rule=envelope.rule, values=envelope.asked),
        scaled=Size(size_mm=envelope.size, circle_mm=envelope.circle),
        factor=envelope.factor,
        finished=finished,
    )


def _features(hold: Hold) -> FeaturesSection:
    rims = hold.find(Rim)
    return FeaturesSection(
        rim=RimSection.of(rims[-1], area_mm2=rims[-1].area) if rims else None,
        bores=tuple(BoreSection.of(bore, tilt_deg=bore.tilt) for bore in hold.find(Bore)),
        screw_holes=hold.find(ScrewHole),
        tips=hold.find(TipCut),
        partings=hold.find(PartingFace),
        collars=hold.find(Collar),
        back_pocket=next(
            (PocketSection.of(each, area_mm2=each.area) for each in hold.find(BackPocket)), None
        ),
        engravings=hold.find(Engraving),
    )


def _joint(replay: Replay) -> dict[str, Any] | None:
    joint = replay.joint
    return plain_joint(joint.shape, joint.cards) if joint and joint.shape and joint.cards else None


def print_figures(job: Job, allowances: Allowances) -> dict[str, Any]:
    """Give what the report says under `print`: settings, checks and estimates, or why there are none."""
    parts = in_print_size(job.replay.hold.solids, allowances)
    checks = {"checks": plain_checks(job.replay.print)}
    try:
        settings = all_settings(parts, job.recipe.print, load_catalogue())
        return {**plain_estimates(job.recipe.print, part_estimates(parts, settings)), **checks}
    except HoldwrightError as error:  # the files are right all the same
        return {**plain_estimates(job.recipe.print, {}), **checks, "problem": str(error)}


def _whole(replay: Replay, holding: Mapping[Part, Sequence[str]]) -> SolidSection:
    """Report on the last whole solid there was."""
    for part, held in holding.items():
        if part.name == WHOLE:
            return _solid(part.solid, part.closedness, held)
    whole = next(step.hold.solids[WHOLE] for step in reversed(replay.results) if WHOLE in step.hold.solids)
    return _solid(whole, written_as(whole)[1], ())


def _solid(solid: Solid, found: Closedness, files: Sequence[str]) -> SolidSection:
    return SolidSection.of(found, measure(solid), files=files)
