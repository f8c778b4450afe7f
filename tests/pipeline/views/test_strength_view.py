"""Strength in the geometry process: remembered by what it was made from, and the bolt tried elsewhere."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import shapes
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import Cancelled
from holdwright.geometry.mesh.sculpt import Piece, Sculpt
from holdwright.hold.feature import Bore
from holdwright.operations import known_operation
from holdwright.pipeline.recipes.recipe import Recipe, Step
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.views import strength_view
from holdwright.pipeline.views.moved_bolts import APART, moved_bolts
from holdwright.pipeline.views.strength_view import StrengthRequest, view_strength
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import SILENT, Progress

AT = (14.0, 6.0)


@pytest.fixture(scope="module")
def context() -> WorkContext:
    """A block bored off its middle."""
    solid = shapes.block(90.0, 80.0, 40.0)
    piece = Piece("block", solid.vertices.copy(), solid.triangles.copy())
    sculpt = Sculpt((piece,), np.zeros(3), "d0" * 16, format="STL")
    values = {"import_sculpt": {"unit": "mm"}, "trim_base": {}, "cut_bore": {"place": "at", "at": AT}}
    steps = []
    for number, (name, changes) in enumerate(values.items()):
        operation = known_operation(name)
        assert operation is not None
        parameters = operation.parameters.model_validate(changes)
        steps.append(Step(f"s{number}", name, operation.version, parameters))
    recipe = Recipe(None, tuple(steps))
    catalogue = load_catalogue()
    return WorkContext(
        recipe, Path("block.stl"), lambda _: sculpt, catalogue, Cache(), SILENT, lambda _: None
    )


def request_of(context: WorkContext) -> StrengthRequest:
    last = tuple(context.steps(context.sculpt(SILENT), SILENT))[-1]
    return StrengthRequest(last.id, last.key, 8.0, changes=False)


def test_it_is_computed_once_for_the_same_hold_and_settings(context, monkeypatch):
    request = request_of(context)
    first = view_strength(context, request)

    def once_more(*_: object) -> None:
        raise AssertionError("computed again")

    monkeypatch.setattr(strength_view, "hold_strength", once_more)
    assert view_strength(context, request).result is first.result
    denser = replace(context, recipe=context.recipe.with_parameters("print", {"shell_infill": 50.0}))
    with pytest.raises(AssertionError, match="computed again"):
        view_strength(denser, request)
    stopped = replace(context, progress=Progress(None, lambda: True))
    with pytest.raises(Cancelled):
        view_strength(stopped, request)


def test_the_bolt_is_tried_at_other_places(context):
    found = list(moved_bolts(context, SILENT))
    assert 1 <= len(found) <= 3
    for name, hold in found:
        assert not isinstance(hold, str), hold
        (bore,) = hold.find(Bore)
        assert np.hypot(bore.x - AT[0], bore.y - AT[1]) > APART
        assert name == f"({bore.x:.0f}, {bore.y:.0f}) mm"


def test_several_bores_are_tried_nowhere_else(context):
    recipe = context.recipe.with_parameters("s2", {"count": 2, "pitch": 40.0, "at": (0.0, 0.0)})
    assert list(moved_bolts(replace(context, recipe=recipe), SILENT)) == []
