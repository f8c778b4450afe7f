"""Variants of a recipe: the other hand and other sizes, with hardware, rim, core and walls as they are."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from holdwright import operations
from holdwright.errors import RecipeError
from holdwright.operations.engrave_back import EngraveBack
from holdwright.operations.orient_to_base import OrientToBase
from holdwright.operations.scale_to_envelope import (
    ScaleToEnvelope,
    ScaleToEnvelopeParameters,
    requested_envelope,
)
from holdwright.parameters.describe import FieldDescription, describe
from holdwright.parameters.kinds import Parameters, PointPick
from holdwright.pipeline.recipe import Recipe, Step

ENVELOPES: Final[Mapping[str, float]] = MappingProxyType(
    {"XS": 50.0, "S": 75.0, "M": 110.0, "L": 160.0, "XL": 235.0, "XXL": 365.0}
)
"""Envelope of each size in mm: the middle of what the trade calls so (common practice, no source)."""

_Change = Callable[[FieldDescription, Any], Any]


@dataclass(frozen=True)
class Variant:
    """What sets a variant apart from its recipe."""

    mirror: bool = False
    """Whether it is the other hand's, left for right."""
    size: float | None = None
    """Its greatest requested extent, mm; None for the recipe's own."""
    name: str = ""
    """Engraved in place of the recipe's, where it engraves one; blank leaves that."""


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
    if variant.name:
        for step in recipe.steps:
            if step.operation == EngraveBack.name:
                recipe = recipe.with_parameters(step.id, {"text": variant.name})
    return recipe


def _mirrored(recipe: Recipe) -> Recipe:
    step = _step(recipe, OrientToBase.name, "be mirrored")
    recipe = recipe.with_parameters(step.id, {"mirror": not step.parameters.model_dump()["mirror"]})
    return _changed_after(recipe, OrientToBase.order, _mirrored_value)


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

    def scaled(field: FieldDescription, value: Any) -> Any:
        return _placed(field, value, (ratio, ratio, ratio), (1.0, 1.0, 1.0))

    return _changed_after(recipe, ScaleToEnvelope.order, scaled)


def _step(recipe: Recipe, operation: str, what: str) -> Step:
    for step in recipe.steps:
        if step.operation == operation and step.enabled:
            return step
    raise RecipeError(f"The recipe cannot {what}: it has no step {operation}; add one.")


def _changed_after(recipe: Recipe, order: int, change: _Change) -> Recipe:
    """Change the places in all steps beyond one of that shop order."""
    for step in recipe.steps:
        operation = operations.known_operation(step.operation)
        if operation is not None and operation.order > order:
            recipe = recipe.with_parameters(step.id, _changes(step.parameters, change))
    return recipe


def _changes(parameters: Parameters, change: _Change) -> dict[str, Any]:
    changes = {}
    for field in describe(type(parameters)):
        value = getattr(parameters, field.name)
        changed = change(field, value)
        if changed != value:
            changes[field.name] = changed
    return changes


def _mirrored_value(field: FieldDescription, value: Any) -> Any:
    if field.on_wall:
        return (540.0 - value) % 360.0
    return _placed(field, value, (-1.0, 1.0, 1.0), (-1.0, 1.0, 1.0))


def _placed(field: FieldDescription, value: Any, places: Any, normals: Any) -> Any:
    """Move a place, or several, by factors of its coordinates; anything else stays."""
    if value is None:
        return None
    match field.kind:
        case "position":
            return tuple(a * b for a, b in zip(value, places, strict=False))
        case "pick":
            return PointPick(point=_times(value.point, places), normal=_times(value.normal, normals))
        case "picks":
            return tuple(
                PointPick(point=_times(each.point, places), normal=_times(each.normal, normals))
                for each in value
            )
        case _:
            return value


def _moved_pick(pick: PointPick, places: Any, normals: Any) -> PointPick:
    return PointPick(point=_times(pick.point, places), normal=_times(pick.normal, normals))


def _times(vector: Any, factors: Any) -> tuple[float, float, float]:
    x, y, z = (a * b for a, b in zip(vector, factors, strict=True))
    return x, y, z
