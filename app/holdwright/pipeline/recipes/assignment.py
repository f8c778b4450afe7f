"""Parameters given as text, ``STEP.PARAMETER=VALUE``, as on the command line."""

import json
from typing import Any

from holdwright.errors import ParameterError
from holdwright.parameters.describe import FieldDescription, describe
from holdwright.pipeline.recipes.recipe import SECTIONS, Recipe, Step
from holdwright.validation_messages import DEEPEST, too_deep

_FORM = "write it STEP.PARAMETER=VALUE, such as s4.height=3"


def set_parameter(recipe: Recipe, assignment: str) -> Recipe:
    """Give the recipe with one value changed.

    Parameters
    ----------
    assignment
        STEP is a step's id, or the name of its operation where only one step has it, or of a section:
        "joint" or "print". VALUE is JSON, or else taken as text; names may be listed with commas.

    Raises
    ------
    ParameterError
        When it is not of that form, names no step or parameter, or the value makes no sense.
    """
    target, equals, text = assignment.partition("=")
    step_name, dot, name = target.strip().partition(".")
    if not (equals and dot and step_name and name):
        raise ParameterError(f'"{assignment}" sets no parameter; {_FORM}.')
    step = recipe.step(step_name) if step_name in SECTIONS else _step(recipe, step_name)
    fields = {field.name: field for field in describe(type(step.parameters))}
    if name not in fields:
        possible = ", ".join(fields) or "none that this program knows"
        where = f"Section {step_name}" if step_name in SECTIONS else f"Step {step.id} ({step.operation})"
        raise ParameterError(f"{where} has no parameter {name}; it has: {possible}.")
    return recipe.with_parameters(step.id, {name: _value(text.strip(), fields[name])})


def _step(recipe: Recipe, name: str) -> Step:
    named = [step for step in recipe.steps if step.id == name]
    named = named or [step for step in recipe.steps if step.operation == name]
    if len(named) == 1:
        return named[0]
    if named:
        ids = " or ".join(step.id for step in named)
        raise ParameterError(f"The recipe has {len(named)} steps of {name}; say which: {ids}.")
    possible = ", ".join(f"{step.id} ({step.operation})" for step in recipe.steps)
    raise ParameterError(f"The recipe has no step {name}; it has: {possible}, {', '.join(SECTIONS)}.")


def _value(text: str, field: FieldDescription) -> Any:
    try:
        value = json.loads(text)
    except (ValueError, RecursionError):
        value = text
    if too_deep(value):
        raise ParameterError(f"The value of {field.name} is nested more than {DEEPEST} deep; simplify it.")
    if field.kind in ("text", "row") and not isinstance(value, str | None):
        return text
    if field.kind == "names" and isinstance(value, str):
        return [name.strip() for name in value.split(",") if name.strip()]
    return value
