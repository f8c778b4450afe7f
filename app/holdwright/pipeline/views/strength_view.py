"""Where a finished hold breaks first, computed in the geometry process or for a command."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.hold.finding import Finding
from holdwright.hold.hold import Hold
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import Conditions, conditions
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.joint_verdict import measured_shape, shell_fill, why_not_judged
from holdwright.pipeline.replaying.replay import Replay
from holdwright.pipeline.views.moved_bolts import moved_bolts
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import Progress
from holdwright.strength.breaking_findings import breaking_findings
from holdwright.strength.cell_choice import CellChoice
from holdwright.strength.hold_strength import hold_strength
from holdwright.strength.loaded_hold import LoadedHold
from holdwright.strength.printed_parts import printed_parts
from holdwright.strength.strength_result import StrengthResult

NAME: Final = "strength"
_WEIGHT: Final = 2_000_000
"""Bytes that a result about takes."""

PARTS: Final = ("shell", "core")


@dataclass(frozen=True)
class StrengthRequest:
    """Of which hold the strength is wanted."""

    step: str
    key: str
    """step, key: its last step, and the key of the result."""
    cells: CellChoice = "preview"
    changes: bool = True
    """Whether to compute what changes would do, too."""


@dataclass(frozen=True, eq=False)
class StrengthView:
    """Where a hold breaks first, and what deserves a look in that."""

    result: StrengthResult
    findings: tuple[Finding, ...]


def check_strength(recipe: Recipe, catalogue: Catalogue) -> None:
    """Refuse settings that strength cannot be computed for; errors as of `printed_parts` and `conditions`."""
    printed_parts(PARTS, recipe.print, catalogue)
    conditions(catalogue, recipe.joint, fill=shell_fill(recipe.print))


def view_strength(context: WorkContext, request: StrengthRequest) -> StrengthView:
    """Compute the strength of a hold, or remember it.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader or a step raised it, where the hold has to be made anew; or when it has no
        back or no bore, or is printed in a way that is outside the laws.
    Cancelled
        When that is requested.
    """
    recipe, kept, progress = context.recipe, context.cache.of_operations, context.progress
    check_strength(recipe, context.catalogue)
    progress.report(0.0, "preparing the hold")
    made_from = (request.key, recipe.print, recipe.joint, request.cells, request.changes)
    result = kept.get(NAME, made_from)
    if not isinstance(result, StrengthResult):
        hold = context.hold(request.step, request.key, progress.part(0.0, 0.05))
        loaded = loaded_hold(hold, request.key, context)
        others = _others(context) if request.changes else None
        result = hold_strength(
            loaded,
            recipe.print,
            context.catalogue,
            request.cells,
            others,
            progress.part(0.05, 1.0),
        )
        kept.put(NAME, made_from, result, _WEIGHT)
    progress.report(1.0, "computed")
    return StrengthView(result, breaking_findings(result))


def replay_with_strength(
    recipe: Recipe, sculpt: Sculpt, sculpt_file: Path, catalogue: Catalogue, progress: Progress
) -> Replay:
    """Replay a recipe, check the print, compute the strength; errors as of `replay` and `view_strength`."""
    check_strength(recipe, catalogue)
    context = WorkContext(
        recipe,
        sculpt_file,
        lambda _: sculpt,
        catalogue,
        Cache(),
        progress.part(0.3, 1.0),
        lambda _: None,
    )
    replayed = context.replay(progress.part(0.0, 0.3))
    last = replayed.results[-1]
    return replace(replayed, strength=view_strength(context, StrengthRequest(last.id, last.key)).result)


def loaded_hold(hold: Hold, key: str, context: WorkContext) -> LoadedHold:
    """Give a hold with its bolts tightened and its loads, as its joint has them."""
    if sentence := why_not_judged(hold):
        raise GeometryError(sentence.replace("joint to judge", "strength to compute"))
    recipe = context.recipe
    requested: Conditions = conditions(context.catalogue, recipe.joint, fill=shell_fill(recipe.print))
    shape = measured_shape(key, hold, context.cache.of_operations)
    cards = joint_cards(shape, requested, context.catalogue)
    return LoadedHold.of(hold, shape, cards)


def _others(context: WorkContext) -> Iterator[tuple[str, LoadedHold | str]]:
    """Give the hold with its bolt elsewhere."""
    for name, hold in moved_bolts(context, context.progress.part(0.75, 0.8)):
        yield name, hold if isinstance(hold, str) else loaded_hold(hold, f"{name} elsewhere", context)
