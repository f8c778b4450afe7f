"""What of a step's result crosses from the process that makes it to the one that shows it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from holdwright.errors import Cancelled, HoldwrightError
from holdwright.geometry.mesh.boolean import stand_in
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.ground_block import may_be_ground
from holdwright.hold.earlier_steps import EarlierStep
from holdwright.hold.feature import Feature
from holdwright.hold.finding import Finding
from holdwright.operations import operation_title
from holdwright.pipeline.replaying.following import following_of
from holdwright.pipeline.replaying.joint_verdict import JointVerdict, joint_verdict
from holdwright.pipeline.replaying.remembering import memory_of, steps_of
from holdwright.pipeline.replaying.replay import StepResult, StepSummary
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import SILENT

DRAWN_TRIANGLES = 200_000
"""Above this a mesh gets a stand-in to be drawn in its place while the view moves."""

STAND_IN_TRIANGLES = 30_000


@dataclass(frozen=True, eq=False)
class Surface:
    """A triangle mesh to draw: (n, 3) float32 vertices in mm and (m, 3) int32 triangles, wound outward."""

    vertices: NDArray[np.float32]
    triangles: NDArray[np.int32]

    @property
    def nbytes(self) -> int:
        """Bytes its arrays take."""
        return self.vertices.nbytes + self.triangles.nbytes

    @cached_property
    def extremes(self) -> NDArray[np.float64]:
        """(3, 2, 3) its least and its greatest point along x, y and z, mm; not of an empty one."""
        ends = [(column.argmin(), column.argmax()) for column in np.ascontiguousarray(self.vertices.T)]
        return self.vertices[np.array(ends)].astype(np.float64)

    @property
    def bounds(self) -> NDArray[np.float64]:
        """(2, 3) least and greatest coordinates, mm; not of an empty one."""
        return np.asarray(self.extremes.diagonal(axis1=0, axis2=2))

    def measured(self) -> "Surface":
        """Give it measured, so that who is sent it need not do so."""
        if len(self.vertices):
            _ = self.extremes
        return self

    @property
    def mesh(self) -> Mesh:
        """As a mesh to compute with, made anew at each access."""
        return Mesh(self.vertices.astype(np.float64), self.triangles.astype(np.int64))


@dataclass(frozen=True)
class ShownSculpt:
    """The raw sculpt as it was read."""

    pieces: tuple[tuple[str, Surface], ...]
    """Name and surface of each group, file units from the sculpt's origin."""
    digest: str
    notes: tuple[str, ...]
    unit: str | None = None
    """digest, notes, unit: as of the sculpt."""
    slabs: tuple[str, ...] = ()
    """Names of groups that may be ground blocks, before import has said which are."""

    @property
    def extent(self) -> float:
        """Largest size along the file's axes, file units."""
        bounds = np.array([surface.bounds for _, surface in self.pieces])
        return float((bounds[:, 1].max(axis=0) - bounds[:, 0].min(axis=0)).max())


@dataclass(frozen=True, eq=False)
class ShownSolid:
    """A solid as the window knows it."""

    surface: Surface
    """Its whole surface."""
    light: Surface | None
    """A coarser one, to draw while the view moves; None where the whole one is light enough."""
    volume_mm3: float
    area_mm2: float
    """volume_mm3, area_mm2: of the exact solid."""

    @property
    def nbytes(self) -> int:
        """Bytes its arrays take."""
        return self.surface.nbytes + (self.light.nbytes if self.light else 0)


@dataclass(frozen=True, eq=False)
class ShownStep(StepSummary):
    """A step's result as the window knows it."""

    features: tuple[Feature, ...] = ()
    sized: bool = False
    placement: NDArray[np.float64] = field(default_factory=lambda: np.eye(4))
    laid: NDArray[np.float64] | None = None
    """features, sized, placement, laid: of the hold after the step."""
    solids: Mapping[str, ShownSolid] = field(default_factory=dict)
    """By name; empty where the window said that it still has this key's."""
    failed: str = ""
    """The sentence of the error that stopped the step; blank when it went well."""


@dataclass(frozen=True, eq=False)
class ShownJoint:
    """What was found in the joint once all steps were done."""

    findings: Mapping[str, tuple[Finding, ...]] = field(default_factory=dict)
    """By the id of the step that bored, as of `JointVerdict`; empty where there is no finished joint."""
    safeties: Mapping[str, float] = field(default_factory=dict)
    """As of `JointVerdict`."""


@dataclass(frozen=True)
class EarlierSteps:
    """What is to be remembered of the steps, once all are done."""

    steps: tuple[EarlierStep, ...]


def surface_of(solid: Solid) -> Surface:
    """Give a solid's surface in the precision pictures need."""
    return Surface(*solid.picture()).measured()


def shown_solid(solid: Solid) -> ShownSolid:
    """Give a solid as the window knows it."""
    light = None
    if solid.triangle_count > DRAWN_TRIANGLES:
        light = surface_of(stand_in(solid, STAND_IN_TRIANGLES))
    return ShownSolid(surface_of(solid), light, solid.volume, solid.area)


def shown_step(result: StepResult, *, with_solids: bool) -> ShownStep:
    """Give a step's result as the window knows it."""
    hold = result.hold
    summary = {each.name: getattr(result, each.name) for each in fields(StepSummary)}
    return ShownStep(
        **summary,
        features=hold.features,
        sized=hold.sized,
        placement=hold.placement,
        laid=hold.laid,
        solids={name: shown_solid(solid) for name, solid in hold.solids.items()} if with_solids else {},
    )


def shown_sculpt(sculpt: Sculpt) -> ShownSculpt:
    """Give a raw sculpt as the window knows it."""
    pieces = tuple(
        (piece.name, Surface(piece.vertices.astype("float32"), piece.triangles.astype("int32")).measured())
        for piece in sculpt.pieces
    )
    several = len(pieces) > 1
    slabs = tuple(each.name for each in sculpt.pieces if several and may_be_ground(each.mesh))
    return ShownSculpt(pieces, sculpt.digest, sculpt.notes, sculpt.unit, slabs)


@dataclass(frozen=True)
class StepsRequest:
    """Which steps to show."""

    until: str | None = None
    """Id of the last step required; None for all."""
    have: frozenset[str] = frozenset()
    """Keys of results whose solids, and digest of the sculpt whose surface the asker still has: they are not
    sent again."""
    judged: bool = True
    """Whether the joint is judged too, where all steps are done."""


def show_steps(context: WorkContext, request: StepsRequest) -> None:
    """Replay the recipe and send the sculpt, each step's result as soon as it is there, and the joint.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader or a step raised it; a step's failure has been sent before.
    """
    recipe, sent = context.recipe, set(request.have)
    done: list[StepResult] = []
    verdict: JointVerdict | None = None
    sculpt = context.sculpt(context.progress.part(0.0, 0.1))
    if sculpt.digest not in sent:
        context.send(shown_sculpt(sculpt))
    try:
        for result in context.steps(sculpt, context.progress.part(0.1, 1.0), request.until):
            done.append(result)
            context.send(shown_step(result, with_solids=result.key not in sent))
            if len(done) == 1 and result.enabled and result.key not in sent:
                run = context.run(SILENT)
                context.send(memory_of(sculpt, result.hold, recipe.steps[0].parameters, run))
            sent.add(result.key)
        if len(done) == len(recipe.steps):
            context.send(EarlierSteps(steps_of(done)))
        if request.judged and len(done) == len(recipe.steps):
            kept = context.cache.of_operations
            verdict = joint_verdict(done, recipe.joint, context.catalogue, kept, printed=recipe.print)
    except Cancelled:
        raise
    except HoldwrightError as error:
        if len(done) < len(recipe.steps):
            step = recipe.steps[len(done)]
            title = operation_title(step.operation)
            followed = _followed(context, sculpt, done)
            context.send(ShownStep(step.id, step.operation, title, "", failed=str(error), followed=followed))
        context.send(ShownJoint())
        raise
    context.send(ShownJoint(verdict.findings, verdict.safeties) if verdict else ShownJoint())


def _followed(context: WorkContext, sculpt: Sculpt, done: Sequence[StepResult]) -> Mapping[str, Any]:
    """Give the values that the step after those done was to be done with."""
    if not done:
        return {}
    step = context.recipe.steps[len(done)]
    return following_of(context.recipe, sculpt.digest).moved(step.id, step.parameters, done[-1].hold)[0]
