"""Variants of a recipe: the other hand and other sizes, with hardware, rim, core and walls as they are."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

import numpy as np

from holdwright import operations
from holdwright.errors import RecipeError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import placement, scaling
from holdwright.hold.earlier_steps import frame_of, left_frame
from holdwright.hold.moved_places import moved_places
from holdwright.operations.engrave_back import EngraveBackParameters
from holdwright.operations.orient_to_base import OrientToBase
from holdwright.operations.placeholders import filled, used_in
from holdwright.operations.scale_to_envelope import (
    ScaleToEnvelope,
    ScaleToEnvelopeParameters,
    requested_envelope,
)
from holdwright.parameters.describe import describe
from holdwright.pipeline.recipes.recipe import Recipe, Step

ENVELOPES: Final[Mapping[str, float]] = MappingProxyType(
    {"XS": 50.0, "S": 75.0, "M": 110.0, "L": 160.0, "XL": 235.0, "XXL": 365.0}
)
"""Envelope of each size in mm: the middle of what the trade calls so (common practice, no source)."""


@dataclass(frozen=True)
class Variant:
    """What sets a variant apart from its recipe."""

    mirror: bool = False
    """Whether it is the other hand's, left for right."""
    size: float | None = None
    """Its greatest requested extent, mm; None for the recipe's own."""
    name: str = ""
    """Engraved in place of the recipe's, where it engraves one, or for its {name}; blank leaves that."""
    number: int = 0
    """Of the hold in its set, for a {number} that is engraved; 0 where it has none."""
    size_name: str = ""
    """What its size is called, for a {size} that is engraved; blank: by how large it comes out."""


def variant_of(recipe: Recipe, variant: Variant) -> Recipe:
    """Give the recipe of a variant.

    Only the sculpt is mirrored or scaled: places on the hold go with it; bolts, screws, rim, core, walls and
    lands stay as they are.

    Raises
    ------
    RecipeError
        When the recipe has no step that could.
    """
    if variant.mirror:
        recipe = _mirrored(recipe)
    if variant.size is not None:
        recipe = _resized(recipe, variant.size)
    for step in recipe.steps:
        if isinstance(step.parameters, EngraveBackParameters):
            recipe = recipe.with_parameters(step.id, _engraved(step.parameters, variant))
    return recipe


def _engraved(parameters: EngraveBackParameters, variant: Variant) -> dict[str, str]:
    """Give the texts of a variant: what stands in braces filled; without any, its name for the text."""
    texts = {name: getattr(parameters, name) for name in ("text", "revision", "date")}
    if not any(map(used_in, texts.values())):
        return {"text": variant.name} if variant.name else {}
    number = str(variant.number) if variant.number else ""
    values = {"name": variant.name, "number": number, "size": variant.size_name}
    known = {word: value for word, value in values.items() if value}
    return {name: filled(text, known) for name, text in texts.items()}


def _mirrored(recipe: Recipe) -> Recipe:
    step = _step(recipe, OrientToBase.name, "be mirrored")
    recipe = recipe.with_parameters(step.id, {"mirror": not step.parameters.model_dump()["mirror"]})
    for each in _steps_after(recipe, OrientToBase.order):
        turned = {
            field.name: (540.0 - getattr(each.parameters, field.name)) % 360.0
            for field in describe(type(each.parameters))
            if field.on_wall
        }
        recipe = recipe.with_parameters(each.id, turned)
    return _moved_after(recipe, OrientToBase.order, placement(np.diag([-1.0, 1.0, 1.0])))


def _resized(recipe: Recipe, size: float) -> Recipe:
    step = _step(recipe, ScaleToEnvelope.name, "get another size")
    parameters = step.parameters
    assert isinstance(parameters, ScaleToEnvelopeParameters)
    if parameters.rule == "factor":
        raise RecipeError(
            "The recipe cannot get another size: it scales by a plain factor; let it scale to a circle, a "
            "box, a width, height or depth."
        )
    ratio = size / max(requested_envelope(parameters))
    lengths = ("diameter", "box_x", "box_y", "box_z", "length")
    changes = {name: getattr(parameters, name) * ratio for name in lengths}
    recipe = recipe.with_parameters(step.id, changes)

    return _moved_after(recipe, ScaleToEnvelope.order, scaling(ratio))


def _step(recipe: Recipe, operation: str, what: str) -> Step:
    for step in recipe.steps:
        if step.operation == operation and step.enabled:
            return step
    raise RecipeError(f"The recipe cannot {what}: it has no step {operation}; add one.")


def _steps_after(recipe: Recipe, order: int) -> list[Step]:
    """Give the steps beyond one of that shop order."""
    known = ((step, operations.known_operation(step.operation)) for step in recipe.steps)
    return [step for step, operation in known if operation is not None and operation.order > order]


def _moved_after(recipe: Recipe, order: int, matrix: Floats) -> Recipe:
    """Move the places in all steps beyond one of that shop order, and what is remembered of places there."""
    after = {step.id for step in _steps_after(recipe, order)}
    for step in _steps_after(recipe, order):
        recipe = recipe.with_parameters(step.id, moved_places(step.parameters, matrix)[0])
    if recipe.source is None:
        return recipe
    before = recipe.source.earlier_steps
    # A frame holds for the steps after it: what is moved begins with the step that mirrors or scales.
    first = next(step.id for step in reversed(recipe.steps) if step.id not in after)
    frame = left_frame(before, first)
    begun = (
        replace(each, frame=frame_of(frame)) if each.id == first and frame is not None else each
        for each in before
    )
    steps = tuple(each.moved(matrix) if each.id in after | {first} else each for each in begun)
    return recipe.with_source(replace(recipe.source, earlier_steps=steps))
