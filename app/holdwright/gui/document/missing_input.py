"""What steps are called, and what they wait for: places that are to be clicked in the view."""

from holdwright.operations import OPERATIONS
from holdwright.operations.orient_to_base import OrientToBaseParameters
from holdwright.pipeline.recipe import Recipe, Step

POINTS = 3


def title_of(operation: str) -> str:
    """Give an operation's title; its name in plain letters where this program does not know it."""
    known = next((each.title for each in OPERATIONS if each.name == operation), None)
    return known or operation.replace("_", " ").capitalize()


def missing_input(step: Step) -> str:
    """Say what is to be clicked before a step can be done; blank where nothing is."""
    values = step.parameters
    if not step.enabled or not isinstance(values, OrientToBaseParameters):
        return ""
    if values.by == "face" and values.face is None:
        return "Click the flat back of the hold in the view."
    if values.by == "plane" and values.plane is None:
        return "Click the hold where the back plane should be, then drag its handle."
    if values.by == "points" and len(values.points) < POINTS:
        count = f" {len(values.points)} of 3 set." if values.points else ""
        return f"Click three points on the back of the hold, well apart.{count}"
    return ""


def last_step_with_input(recipe: Recipe) -> str | None:
    """Give the id of the step up to which a recipe can be done now; None where all of it can."""
    for before, step in zip((None, *recipe.steps), recipe.steps, strict=False):
        if before is not None and missing_input(step):
            return before.id
    return None
