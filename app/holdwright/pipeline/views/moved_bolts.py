"""The same hold with its bolt elsewhere: at the best places of its back."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import hypot

from holdwright.errors import Cancelled, HoldwrightError
from holdwright.hold.feature import Bore
from holdwright.hold.hold import Hold
from holdwright.joint.conditions import conditions
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.replaying.joint_verdict import shell_fill
from holdwright.pipeline.replaying.replay import StepResult
from holdwright.pipeline.views.place_view import places_of
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import Progress

APART = 5.0
"""A place nearer than this to where the bolt is (mm) is no other place."""

MOST = 3


def moved_bolts(context: WorkContext, progress: Progress) -> Iterator[tuple[str, Hold | str]]:
    """Bore the hold at other places, one after the other.

    Gives the name of each place, and the hold or why there is none. Nothing where the recipe does not cut one
    round bore square to the wall.

    Raises
    ------
    Cancelled
        When that is requested.
    """
    sculpt = context.sculpt(progress.part(0.0, 0.1))
    results = tuple(context.steps(sculpt, progress.part(0.1, 0.2)))
    found = _bored(context, results)
    if found is None:
        return
    before, step = found
    bore = step.hold.find(Bore)[-1]
    parameters = context.recipe.step(step.id).parameters
    assert isinstance(parameters, CutBoreParameters)
    recipe = context.recipe
    requested = conditions(context.catalogue, recipe.joint, fill=shell_fill(recipe.print))
    try:
        view = places_of(before.hold, parameters, requested, context.catalogue, (bore.x, bore.y))
    except Cancelled:
        raise
    except HoldwrightError as error:
        yield "best places", str(error)
        return
    places = [each.place for each in view.best if hypot(each.place.x - bore.x, each.place.y - bore.y) > APART]
    for number, place in enumerate(places[:MOST]):
        part = progress.part(0.3 + 0.7 * number / MOST, 0.3 + 0.7 * (number + 1) / MOST)
        at = round(place.x, 3), round(place.y, 3)
        yield f"({round(at[0])}, {round(at[1])}) mm", _moved(context, step.id, at, part)


def _bored(context: WorkContext, results: tuple[StepResult, ...]) -> tuple[StepResult, StepResult] | None:
    """Give the result before the only step that bores, and its own."""
    found = [
        (before, step)
        for before, step in pairwise(each for each in results if each.enabled)
        if isinstance(context.recipe.step(step.id).parameters, CutBoreParameters)
    ]
    return found[0] if len(found) == 1 and len(results[-1].hold.find(Bore)) == 1 else None


def _moved(context: WorkContext, step: str, at: tuple[float, float], progress: Progress) -> Hold | str:
    """Replay the recipe with its bore elsewhere."""
    recipe = context.recipe.with_parameters(step, {"place": "at", "at": at})
    elsewhere = replace(context, recipe=recipe)
    try:
        *_, last = elsewhere.steps(elsewhere.sculpt(progress), progress)
    except Cancelled:
        raise
    except HoldwrightError as error:
        return str(error)
    return last.hold
