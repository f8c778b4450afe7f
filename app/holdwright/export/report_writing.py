"""Puts a replay and the files made of it into a report."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from holdwright import __version__
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import HoldwrightError
from holdwright.export.parts import Part, shrinkage_factor, shrinkage_percent, written_as
from holdwright.export.report import (
    Asked,
    BoreSection,
    Bounds,
    CollarSection,
    EnvelopeSection,
    FeaturesSection,
    FileSection,
    FindingSection,
    PartingSection,
    RecipeSection,
    Report,
    RimSection,
    ScrewHoleSection,
    SculptSection,
    ShrinkageSection,
    Size,
    SolidSection,
    StepSection,
    TipSection,
)
from holdwright.export.report_pieces import pieces_of
from holdwright.geometry.measure.envelope import smallest_circle
from holdwright.geometry.measure.solid_figures import measure
from holdwright.geometry.mesh.closedness import Closedness
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Collar, Envelope, PartingFace, Rim, ScrewHole, TipCut
from holdwright.hold.hold import WHOLE, Hold
from holdwright.joint.conditions import conditions
from holdwright.joint.joint_card import joint_cards
from holdwright.joint.joint_shape import joint_shape
from holdwright.joint.json_values import plain_joint
from holdwright.pipeline.recipe import Recipe
from holdwright.pipeline.recipe_file import dump_recipe
from holdwright.pipeline.replay import Replay


@dataclass(frozen=True, eq=False)
class Job:
    """A replayed sculpt, and what to call it.

    Attributes
    ----------
    name
        Of the hold: files are called by it.
    sculpt, sculpt_file
        The sculpt that was replayed, and where it was read from.
    recipe, recipe_name
        The recipe as replayed, and its name.
    replay
        What came of it.
    also_read
        Other files that are read meanwhile, recipe and further sculpts; none of them is written over.
    """

    name: str
    sculpt: Sculpt
    sculpt_file: Path
    recipe: Recipe
    recipe_name: str
    replay: Replay
    also_read: tuple[Path, ...] = ()


def report_of(
    job: Job, parts: Sequence[Part], holding: Mapping[str, Sequence[str]], files: Sequence[FileSection]
) -> Report:
    """Write the report.

    Parameters
    ----------
    parts
        Of the finished hold.
    holding
        For each part the names of the files that hold it.
    files
        All files written.
    """
    hold = job.replay.hold
    percent = shrinkage_percent(hold)
    return Report(
        program=f"Holdwright {__version__}",
        sculpt=_sculpt(job),
        pieces=pieces_of(job.recipe, job.replay),
        recipe=RecipeSection(name=job.recipe_name, content=dump_recipe(job.recipe)),
        steps=_steps(job.replay),
        envelope=_envelope(hold),
        shrinkage=ShrinkageSection(percent=percent, factor=shrinkage_factor(percent)),
        features=_features(hold),
        whole=_whole(job.replay, parts, holding),
        solids={part.name: _solid(part.solid, part.closedness, holding[part.name]) for part in parts},
        joint=_joint(hold),
        findings=_findings(job.replay),
        files=tuple(files),
    )


def _sculpt(job: Job) -> SculptSection:
    return SculptSection(
        name=job.name,
        file=job.sculpt_file.name,
        format=job.sculpt.format,
        digest=job.sculpt.digest,
        unit=job.sculpt.unit,
        triangles=job.sculpt.triangle_count,
        notes=job.sculpt.notes,
    )


def _steps(replay: Replay) -> tuple[StepSection, ...]:
    return tuple(
        StepSection(
            id=step.id,
            operation=step.operation,
            title=step.title,
            enabled=step.enabled,
            seconds=step.seconds,
            searches=dict(step.searches),
            cached=step.cached,
            result=step.result,
            volume_mm3=step.measures.volume_mm3 if step.measures else None,
            bounds_mm=step.measures.bounds_mm if step.measures else None,
        )
        for step in replay.results
    )


def _envelope(hold: Hold) -> EnvelopeSection:
    envelope = next(reversed(hold.find(Envelope)), None)
    if envelope is None:
        return EnvelopeSection(asked=None, scaled=None, factor=None, finished=_finished(hold))
    return EnvelopeSection(
        asked=Asked(rule=envelope.rule, values=envelope.asked),
        scaled=Size(size_mm=envelope.size, circle_mm=envelope.circle),
        factor=envelope.factor,
        finished=_finished(hold),
    )


def _finished(hold: Hold) -> Size:
    """Measure the hold as it will be on the wall: stock below the back is sanded off."""
    solids = list(hold.solids.values())
    low = np.min([solid.bounds[0] for solid in solids], axis=0)
    high = np.max([solid.bounds[1] for solid in solids], axis=0)
    if hold.find(Rim):
        low[2] = max(low[2], 0.0)
    circle = smallest_circle(np.concatenate([solid.vertices[:, :2] for solid in solids]))
    x, y, z = (high - low).tolist()
    return Size(size_mm=(x, y, z), circle_mm=circle.diameter)


def _features(hold: Hold) -> FeaturesSection:
    rims = [
        RimSection(
            height=rim.height,
            allowance=rim.allowance,
            chamfer=rim.chamfer,
            area_mm2=rim.area,
            islands=rim.islands,
            holes=rim.holes,
        )
        for rim in hold.find(Rim)
    ]
    return FeaturesSection(
        rim=rims[-1] if rims else None,
        bores=tuple(_bore(bore) for bore in hold.find(Bore)),
        screw_holes=tuple(_screw_hole(hole) for hole in hold.find(ScrewHole)),
        tips=tuple(
            TipSection(place=tip.place, normal=tip.normal, width=tip.width, removed_mm3=tip.removed_mm3)
            for tip in hold.find(TipCut)
        ),
        partings=tuple(_parting(face) for face in hold.find(PartingFace)),
        collars=tuple(
            CollarSection(x=each.x, y=each.y, axis=each.axis, diameter=each.diameter, top=each.top)
            for each in hold.find(Collar)
        ),
    )


def _bore(bore: Bore) -> BoreSection:
    return BoreSection(
        x=bore.x,
        y=bore.y,
        axis=bore.axis,
        clearance_diameter=bore.clearance_diameter,
        pocket_diameter=bore.pocket_diameter,
        seat_z=bore.seat_z,
        thickness_under_seat=bore.thickness_under_seat,
        screw=bore.screw,
        washer=bore.washer,
        tilt_deg=bore.tilt,
        cone_angle=bore.cone_angle,
        slot=bore.slot,
        slot_along=bore.slot_along,
    )


def _screw_hole(hole: ScrewHole) -> ScrewHoleSection:
    return ScrewHoleSection(
        x=hole.x,
        y=hole.y,
        axis=hole.axis,
        diameter=hole.diameter,
        head_diameter=hole.head_diameter,
        cone_angle=hole.cone_angle,
        seat=hole.seat,
        thickness_under_head=hole.thickness_under_head,
        screw=hole.screw,
    )


def _joint(hold: Hold) -> dict[str, Any] | None:
    """Reckon the joint for the usual wall and load; None where there is none to reckon."""
    if not hold.find(Bore):
        return None
    catalogue = load_catalogue()
    try:
        shape = joint_shape(hold)
        return plain_joint(shape, joint_cards(shape, conditions(catalogue), catalogue))
    except HoldwrightError:
        return None


def _parting(face: PartingFace) -> PartingSection:
    return PartingSection(
        x=face.x,
        y=face.y,
        axis=face.axis,
        wall_diameter=face.wall_diameter,
        top_diameter=face.top_diameter,
        top=face.top,
    )


def _whole(replay: Replay, parts: Sequence[Part], holding: Mapping[str, Sequence[str]]) -> SolidSection:
    """Report on the last whole solid there was."""
    for part in parts:
        if part.name == WHOLE:
            return _solid(part.solid, part.closedness, holding[WHOLE])
    whole = next(step.hold.solids[WHOLE] for step in reversed(replay.results) if WHOLE in step.hold.solids)
    return _solid(whole, written_as(whole)[1], ())


def _solid(solid: Solid, found: Closedness, files: Sequence[str]) -> SolidSection:
    figures = measure(solid)
    bounds: Bounds = figures.bounds_mm
    return SolidSection(
        volume_mm3=figures.volume_mm3,
        area_mm2=figures.area_mm2,
        triangles=found.triangles,
        closed=found.closed,
        contact_edges=found.contact_edges,
        pieces=found.pieces,
        bounds_mm=bounds,
        files=tuple(files),
    )


def _findings(replay: Replay) -> tuple[FindingSection, ...]:
    return tuple(
        FindingSection(
            step=step_id,
            code=finding.code,
            severity=finding.severity,
            message=finding.message,
            measured=finding.measured,
            limit=finding.limit,
            unit=finding.unit,
            where=finding.where,
            advice=finding.advice,
        )
        for step_id, finding in replay.findings_by_step
    )
