"""Words on steps: what they are called, what is to be clicked before they are done, why a file has none."""

import json
import re
from pathlib import Path
from typing import Any, Final

from holdwright.errors import RecipeError
from holdwright.operations import OPERATIONS
from holdwright.operations.orient_to_base import OrientToBaseParameters
from holdwright.pipeline.recipes.recipe import Recipe, Step
from holdwright.printable import printable

MOST_LISTED: Final = 3
"""Of more problems than these only the number is given."""

_STEP: Final = re.compile(r"steps\[(\d+)\]")
_ITSELF: Final = re.compile(r"^is \w+, which (?=belongs)")
_OPERATION: Final = re.compile(rf"\b(?:{'|'.join(each.name for each in OPERATIONS)})\b")
_BEGIN: Final = re.compile(r"^steps\[(\d+)\](?:\.parameters)?(?:\.|$)")

_WHICH: Final = re.compile(r"^Step \d+ \([^)]*\): ")

POINTS = 3


def title_of(operation: str) -> str:
    """Give an operation's title; its name in plain letters where this program does not know it."""
    known = next((each.title for each in OPERATIONS if each.name == operation), None)
    return known or operation.replace("_", " ").capitalize()


def without_step(failure: str) -> str:
    """Give a step's failure without the words that name the step, to stand beneath its title."""
    return _WHICH.sub("", failure)


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


def recipe_sentence(error: RecipeError, path: Path) -> str:
    """Say why a recipe's file cannot be used."""
    name = printable(path.name)
    if len(error.problems) == 1 and not error.problems[0][0]:
        return printable(error.problems[0][1])
    operations = _operations(path)
    lines = [_problem(where, what, operations) for where, what in error.problems[:MOST_LISTED]]
    more = len(error.problems) - len(lines)
    lines += [f"And {more} more"] if more else []
    lines = [f"{printable(each[:1].upper() + each[1:])}." for each in lines]
    return "\n".join([f"{name} cannot be opened:", *lines])


def _problem(where: str, what: str, operations: list[str]) -> str:
    begun = _BEGIN.match(where)
    step = _title(int(begun[1]), operations) if begun else ""
    field = where[begun.end() :] if begun else where
    said = _ITSELF.sub("", what) if step and not field else what
    said = _STEP.sub(lambda found: _title(int(found[1]), operations), said)
    said = _OPERATION.sub(lambda found: title_of(found[0]), said)
    return f"{', '.join(filter(None, (step, field)))} {said}".strip()


def _title(index: int, operations: list[str]) -> str:
    """Name a step by its place, counted from 1, and its title where the file gives it an operation."""
    name = operations[index] if index < len(operations) else ""
    return f"Step {index + 1} ({title_of(name)})" if name else f"Step {index + 1}"


def _operations(path: Path) -> list[str]:
    """Read the operations of a file's steps as far as they can be read."""
    try:
        content: Any = json.loads(path.read_text("utf-8-sig"))
        steps = content["steps"]
        return [str(step.get("operation", "")) if isinstance(step, dict) else "" for step in steps]
    except (OSError, ValueError, RecursionError, KeyError, TypeError):
        return []
