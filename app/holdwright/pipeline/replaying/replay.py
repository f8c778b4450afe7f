"""Does a recipe's steps one after another."""

import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, Final

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import Cancelled, GeometryError, HoldwrightError, ParameterError, RecipeError
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.hold.feature import Rim
from holdwright.hold.finding import Finding
from holdwright.hold.finding_rank import ranked
from holdwright.hold.hold import Hold
from holdwright.hold.hold_measures import HoldMeasures, measures_of
from holdwright.hold.piece_account import PieceAccount
from holdwright.joint.cautions import cautions_for
from holdwright.operations import known_operation, operation_title
from holdwright.operations.base import Operation, Run, Stopwatch
from holdwright.pipeline.recipes.recipe import Recipe, Step
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.following import following_of
from holdwright.pipeline.replaying.joint_verdict import JointVerdict, joint_verdict
from holdwright.pipeline.replaying.key import sculpt_key, step_key
from holdwright.pipeline.replaying.print_checks import PrintVerdict, print_verdict
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import SILENT, Progress
from holdwright.strength.breaking_findings import breaking_findings
from holdwright.strength.strength_result import StrengthResult

MENDING: Final = 6.0
"""How many times the work of another step the import is, about."""


@dataclass(frozen=True, eq=False)
class StepSummary:
    """What one step gave, but for the hold."""

    id: str
    operation: str
    title: str
    """id, operation, title: of the step."""
    key: str
    """Names the result by what it was made from."""
    enabled: bool = True
    """False for a step that is switched off: its hold is that of the step before."""
    result: str = ""
    """One line of figures; blank for a step that is switched off."""
    findings: tuple[Finding, ...] = ()
    """Of this step alone."""
    seconds: float = 0.0
    """Time the step took, searches included."""
    cached: bool = False
    """Whether the result was remembered and not made."""
    measures: HoldMeasures | None = None
    """Of the hold after the step; None while it has no solid."""
    pieces: tuple[PieceAccount, ...] = ()
    """As of `Outcome`."""
    kept: bool = False
    """As of `Outcome`."""
    followed: Mapping[str, Any] = field(default_factory=dict)
    """Values in place of the step's own, by which a revised sculpt keeps what these meant."""


@dataclass(frozen=True, eq=False)
class StepResult(StepSummary):
    """What one step gave."""

    hold: Hold = field(kw_only=True)
    """After the step."""
    searches: Mapping[str, float] = field(default_factory=dict)
    """Seconds for each search within it; empty where the result came from the cache."""


@dataclass(frozen=True, eq=False)
class Replay:
    """What all steps gave, in order."""

    results: tuple[StepResult, ...]
    """Those of steps that bore have the findings of the joint among theirs."""
    joint: JointVerdict | None = None
    """None where not all steps were done, or there is no joint yet."""
    print: PrintVerdict | None = None
    """None where not all steps were done, or that was not asked for."""
    strength: StrengthResult | None = None
    """None where that was not asked for."""

    @property
    def hold(self) -> Hold:
        """The hold after the last step."""
        return self.results[-1].hold

    @property
    def cautions(self) -> tuple[str, ...]:
        """What stands beside the figures and findings."""
        rims = self.hold.find(Rim)
        codes = [finding.code for result in self.results for finding in result.findings]
        return cautions_for(codes, sanded=bool(rims) and rims[-1].allowance > 0.0)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Of steps, print and strength, places on the hold at the end; the one to look at first in front."""
        return tuple(finding for _, finding in self.findings_by_step)

    @property
    def findings_by_step(self) -> tuple[tuple[str, Finding], ...]:
        """The same, each with the id of the step, or the name of the section, that it belongs to."""
        of_steps = (
            (result.id, finding.moved(self.hold.placement @ np.linalg.inv(result.hold.placement)))
            for result in self.results
            for finding in result.findings
        )
        of_print = self.print.findings if self.print else ()
        of_print += breaking_findings(self.strength) if self.strength else ()
        found = (*of_steps, *((PrintParameters.name, finding) for finding in of_print))
        return tuple(ranked(found, of=lambda each: each[1]))


def replay_steps(
    recipe: Recipe,
    sculpt: Sculpt,
    *,
    catalogue: Catalogue,
    cache: Cache | None = None,
    progress: Progress = SILENT,
    until: str | None = None,
) -> Iterator[StepResult]:
    """Do a recipe's steps on a sculpt and give each result as soon as it is there.

    Parameters
    ----------
    cache
        Looked up before each step, and filled after it.
    until
        Id of the last step to do; None for all.

    Raises
    ------
    RecipeError
        Before anything is done, when a step's operation is unknown or there is no step `until`.
    GeometryError, CatalogueError, InputError
        As the step raised it, with the step named in its sentence. The results before it have been given. A
        value that is sound in itself but makes no sense for this hold is a GeometryError here.
    Cancelled
        When the progress requests it.
    """
    steps = _until(recipe, until)
    _refuse_unknown(steps)
    earlier = recipe.source.made_with if recipe.source is not None else None
    run = Run(catalogue, progress, cache=cache.of_operations if cache is not None else None, earlier=earlier)
    return _results(steps, recipe, sculpt, run, cache)


def replay(
    recipe: Recipe,
    sculpt: Sculpt,
    *,
    catalogue: Catalogue,
    cache: Cache | None = None,
    progress: Progress = SILENT,
    until: str | None = None,
    check_print: bool = False,
) -> Replay:
    """Do the steps and, if those are all, judge the joint and check the print.

    Gives the results together; parameters and errors as of `replay_steps`.
    """
    steps, rest = (progress.part(0.0, 0.8), progress.part(0.8, 1.0)) if check_print else (progress, SILENT)
    results = tuple(
        replay_steps(recipe, sculpt, catalogue=catalogue, cache=cache, progress=steps, until=until)
    )
    kept = cache.of_operations if cache is not None else None
    finished = len(results) == len(recipe.steps)
    joint = joint_verdict(results, recipe.joint, catalogue, kept, printed=recipe.print) if finished else None
    found = joint.findings if joint else {}
    judged = tuple(replace(each, findings=(*each.findings, *found.get(each.id, ()))) for each in results)
    if not (check_print and finished and results):
        return Replay(judged, joint)
    return Replay(judged, joint, print_verdict(results[-1].hold, recipe.print, catalogue, kept, rest))


def _results(
    steps: tuple[Step, ...], recipe: Recipe, sculpt: Sculpt, run: Run, cache: Cache | None
) -> Iterator[StepResult]:
    hold, key, all_of_it = Hold(sculpt=sculpt), sculpt_key(sculpt, run.earlier), _share_done(steps)
    following = following_of(recipe, sculpt.digest)
    del sculpt
    for index, step in enumerate(steps):
        operation = known_operation(step.operation)
        if operation is None or not step.enabled:
            # Passed over: hold and key stay, so that the next step's key is as if this one were not there.
            title = operation_title(step.operation)
            size = measures_of(hold)
            result = StepResult(step.id, step.operation, title, key, hold=hold, enabled=False, measures=size)
        else:
            progress = run.progress.part(
                *(_share_done(steps[:end]) / all_of_it for end in (index, index + 1))
            )
            ahead = _ahead(operation, step, recipe.steps[index + 1 :])
            parameters = {name: each.parameters for name, each in ahead.items()}
            before = following.before(step, hold, ahead)
            part = replace(run, progress=progress, ahead=parameters, before=before)
            followed, moved = following.moved(step.id, step.parameters, hold)
            done = recipe.with_parameters(step.id, followed).step(step.id) if followed else step
            result = _result(done, operation, hold, key, part, cache, index)
            about = following.findings(done, moved, hold, result.hold)
            result = replace(
                result, findings=(*result.findings, *about), followed={**result.followed, **followed}
            )
            hold, key = result.hold, result.key
        yield result
    run.progress.report(1.0, "done")


def _share_done(steps: Sequence[Step]) -> float:
    """Give how much work some steps are, about: mending and fusing take as long as all that follows."""
    return sum(MENDING if step.operation == "import_sculpt" else 1.0 for step in steps)


def _result(
    step: Step, operation: Operation[Any], hold: Hold, before: str, run: Run, cache: Cache | None, index: int
) -> StepResult:
    """Remember a step's outcome, or do the step."""
    run = replace(run, stopwatch=Stopwatch())
    run.progress.report(0.0, operation.title)
    start = time.perf_counter()
    with _naming(step, operation, index):
        back = run.before if operation.looks_back(step.parameters) else None
        key = step_key(before, operation, step.parameters, run.catalogue, run.ahead, back)
        remembered = cache.get(key) if cache is not None else None
        outcome = remembered or operation.apply(hold, step.parameters, run)
    seconds = time.perf_counter() - start
    if cache is not None and remembered is None:
        cache.put(key, outcome)
    return StepResult(
        id=step.id,
        operation=step.operation,
        title=operation.title,
        hold=outcome.hold,
        key=key,
        findings=outcome.findings,
        result=outcome.result,
        seconds=seconds,
        searches=MappingProxyType(run.stopwatch.seconds),
        cached=remembered is not None,
        measures=measures_of(outcome.hold),
        pieces=outcome.pieces,
        kept=outcome.kept,
        followed=outcome.followed,
    )


@contextmanager
def _naming(step: Step, operation: Operation[Any], index: int) -> Iterator[None]:
    """Put the step's name before the sentence of an error that it raises."""
    try:
        yield
    except Cancelled:
        raise
    except HoldwrightError as error:
        # A value that is sound in itself but not for this hold leaves the step without a solid.
        kind = GeometryError if isinstance(error, ParameterError) else type(error)
        raise kind(f"Step {index + 1} ({step.id}, {operation.title}): {error}") from error


def _ahead(operation: Operation[Any], step: Step, further: tuple[Step, ...]) -> dict[str, Step]:
    """Give the steps that one looks ahead to: of each operation the next that will be done."""
    names = operation.looks_ahead(step.parameters)
    return {each.operation: each for each in reversed(further) if each.enabled and each.operation in names}


def _until(recipe: Recipe, until: str | None) -> tuple[Step, ...]:
    if until is None:
        return recipe.steps
    return recipe.steps[: recipe.steps.index(recipe.step(until)) + 1]


def _refuse_unknown(steps: tuple[Step, ...]) -> None:
    unknown = [step for step in steps if step.enabled and known_operation(step.operation) is None]
    if unknown:
        names = ", ".join(f"step {step.id} ({step.operation})" for step in unknown)
        raise RecipeError(
            f"This program does not know how to do {names}; switch it off, or open the recipe with the "
            "Holdwright that wrote it."
        )
