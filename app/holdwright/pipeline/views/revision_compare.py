"""A recipe replayed on an old and on a new sculpt, and what came of both held against each other."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from pathlib import Path

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import Cancelled, GeometryError, HoldwrightError, InputError
from holdwright.files.reading import read_sculpt
from holdwright.geometry.measure.signed_distance import SurfaceChange, surface_change
from holdwright.geometry.mesh.frame import scale_of
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import WHOLE
from holdwright.operations.base import Run
from holdwright.operations.import_registration import BroughtBack, brought_back
from holdwright.operations.import_sculpt import ImportSculptParameters
from holdwright.pipeline.recipes.recipe import Recipe, Source
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.remembering import memory_of, steps_of
from holdwright.pipeline.replaying.replay import Replay, StepResult, replay
from holdwright.pipeline.views.comparison import (
    Comparison,
    FinishedState,
    compare,
    finished_state,
    with_masses,
)
from holdwright.pipeline.views.surface_distance import carried_over
from holdwright.printable import printable
from holdwright.printing.allowances import hold_allowances, in_print_size
from holdwright.printing.part_estimates import all_settings, part_estimates
from holdwright.progress import Progress


@dataclass(frozen=True)
class Lying:
    """How the new sculpt lies to the old one, in mm of the old finished hold."""

    moved_mm: float
    turned_deg: float
    scaled: float
    residual_mm: float
    meeting: float
    """As of `Registration`."""


@dataclass(frozen=True, eq=False)
class LaidOnEachOther:
    """The old finished hold and the new one, their sculpts on each other, in the old one's frame."""

    old: Solid
    new: Solid

    @cached_property
    def distance(self) -> SurfaceChange:
        """From the old surface to the new one."""
        return surface_change(self.old.mesh, self.new.mesh)


@dataclass(frozen=True, eq=False)
class RevisionCompared:
    """Two finished holds of one recipe."""

    old: FinishedState
    new: FinishedState
    comparison: Comparison
    lying: Lying
    distance: SurfaceChange
    """From the old finished hold to the new one, the sculpts of both laid on each other."""
    laid: LaidOnEachOther


def compare_sculpts(
    recipes: tuple[Recipe, Recipe],
    old_file: Path,
    new_file: Path,
    catalogue: Catalogue,
    progress: Progress,
) -> RevisionCompared:
    """Replay two recipes, or one twice, on two sculpts, and compare the holds.

    The new sculpt, where it is another file, is brought back on the old one.

    Raises
    ------
    InputError
        When a file cannot be used, or the new sculpt is another one altogether and was to be brought back.
    HoldwrightError
        As a step raised it, with the sculpt named.
    """
    cache = Cache()
    recipe, after = recipes
    old_sculpt, old = _done(recipe, old_file, catalogue, cache, progress.part(0.0, 0.45))
    earlier = memory_of(
        old_sculpt, old.results[0].hold, recipe.steps[0].parameters, Run(catalogue, cache=cache.of_operations)
    )
    known = {step.id: step.operation for step in after.steps}
    same = {step.id for step in recipe.steps if known.get(step.id) == step.operation}
    steps = tuple(step for step in steps_of(old.results) if step.id in same)
    source = Source(str(new_file), "", earlier, steps)
    new_sculpt = read_sculpt(new_file, progress.part(0.45, 0.5))
    lies = brought_back(
        new_sculpt, Run(catalogue, progress.part(0.5, 0.52), cache=cache.of_operations, earlier=earlier)
    )
    _refuse_other(after, lies, new_file, old_file)
    new = _replayed(
        after.with_source(source), new_sculpt, new_file, catalogue, cache, progress.part(0.52, 0.9)
    )
    progress.report(0.9, "measuring what changed")
    laid = _laid(_outside(old), _outside(new), lies)
    states = [_state(done, by, catalogue) for done, by in ((old, recipe), (new, after))]
    scale = scale_of(old.hold.placement)
    return RevisionCompared(
        states[0],
        states[1],
        compare(*states),
        _lying(lies, scale),
        laid.distance,
        laid,
    )


def _done(
    recipe: Recipe, path: Path, catalogue: Catalogue, cache: Cache, progress: Progress
) -> tuple[Sculpt, Replay]:
    """Read the old sculpt and replay the recipe on it as it lies."""
    sculpt = read_sculpt(path, progress.part(0.0, 0.1))
    as_it_lies = recipe.with_source(Source(str(path)))
    return sculpt, _replayed(as_it_lies, sculpt, path, catalogue, cache, progress.part(0.1, 1.0))


def _replayed(
    recipe: Recipe, sculpt: Sculpt, path: Path, catalogue: Catalogue, cache: Cache, progress: Progress
) -> Replay:
    try:
        return replay(recipe, sculpt, catalogue=catalogue, cache=cache, progress=progress, check_print=True)
    except Cancelled:
        raise
    except HoldwrightError as error:
        raise type(error)(f"{printable(path.name)}: {error}") from error


def _refuse_other(recipe: Recipe, lies: BroughtBack, new: Path, old: Path) -> None:
    parameters = recipe.steps[0].parameters
    wanted = isinstance(parameters, ImportSculptParameters) and parameters.moved != "leave"
    if not (wanted and lies.is_other and lies.registration):
        return
    raise InputError(
        f"{printable(new.name)} is to be compared as a revision of {printable(old.name)}, but only "
        f"{lies.registration.meeting:.0%} of their surfaces meet, however it is turned: it is another sculpt "
        "altogether. Give two sculpts of one hold, or compare them as they lie, with --set "
        "import_sculpt.moved=leave."
    )


def _lying(lies: BroughtBack, scale: float) -> Lying:
    found = lies.registration
    if found is None:  # the very file
        return Lying(0.0, 0.0, 1.0, 0.0, 1.0)
    return Lying(found.moved * scale, found.turned, found.scaled, found.residual * scale, found.meeting)


def _state(done: Replay, recipe: Recipe, catalogue: Catalogue) -> FinishedState:
    """Give what is compared of a finished hold: figures of the joint and masses of its parts too."""
    state = finished_state(done.results, done.hold.features, done.joint.safeties if done.joint else {})
    parts = in_print_size(done.hold.solids, hold_allowances(done.hold, recipe.print, catalogue))
    estimates = part_estimates(parts, all_settings(parts, recipe.print, catalogue))
    return replace(with_masses(state, estimates), findings=done.findings_by_step)


def _outside(done: Replay) -> StepResult:
    """Give the last result in which the hold is whole."""
    whole = [each for each in done.results if WHOLE in each.hold.solids]
    if not whole:
        raise GeometryError("The recipe gives no whole hold to compare; have its import done.")
    return whole[-1]


def _laid(old: StepResult, new: StepResult, lies: BroughtBack) -> LaidOnEachOther:
    """Lay the finished holds so that their sculpts lie on each other."""
    new_hold, whole = new.hold, new.hold.whole
    matrix = carried_over(
        (new_hold.placement, lies.matrix), (old.hold.placement, None), whole.bounds.mean(axis=0)
    )
    return LaidOnEachOther(old.hold.whole, whole.moved(matrix))


def plain_comparison(found: RevisionCompared) -> Mapping[str, object]:
    """Give a comparison as plain values: mm, degrees, g."""
    sizes = {
        name: [round(state.figures[side][0], 4) for side in ("width", "height", "depth")]
        for name, state in (("old", found.old), ("new", found.new))
    }
    volumes = {
        name: round(1000.0 * state.figures["volume"][0], 2)
        for name, state in (("old", found.old), ("new", found.new))
    }
    distance, lying = found.distance, found.lying
    return {
        "volume_mm3": {**volumes, "change": round(volumes["new"] - volumes["old"], 2)},
        "size_mm": {
            **sizes,
            "change": [round(b - a, 4) for a, b in zip(sizes["old"], sizes["new"], strict=True)],
        },
        "distance_mm": {
            name: round(getattr(distance, name), 4) for name in ("mean", "p95", "largest", "gained", "lost")
        },
        "registration": {name: round(value, 5) for name, value in asdict(lying).items()},
        "figures": [
            {"name": each.name, "unit": each.unit, "old": each.old, "new": each.new}
            for each in found.comparison.figures
        ],
        "findings": {
            name: [{"step": step, **asdict(finding)} for step, finding in each]
            for name, each in (("gained", found.comparison.gained), ("lost", found.comparison.lost))
        },
    }


def lying_words(lying: Lying) -> str:
    """Say how the new sculpt lay, in a sentence."""
    scaled = f", {lying.scaled:.4g} times as large" if abs(lying.scaled - 1.0) >= 5e-4 else ""
    if not (scaled or lying.moved_mm >= 0.05 or lying.turned_deg >= 0.05):
        return "The new sculpt lies where the old one lay."
    return f"The new sculpt lay {lying.moved_mm:.1f} mm off, turned {lying.turned_deg:.1f} degrees{scaled}."
