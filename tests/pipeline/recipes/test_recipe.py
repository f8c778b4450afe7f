import dataclasses
from typing import Any

import pytest

from holdwright.errors import ParameterError, RecipeError
from holdwright.pipeline.recipes.assignment import set_parameter
from holdwright.pipeline.recipes.recipe import Recipe, Source
from pipeline.toys import TOYS, toys
from recipes import new_recipe

__all__ = ["toys"]
pytestmark = pytest.mark.usefixtures("toys")

BRING, GROW, CLIP = TOYS


def toy_recipe() -> Recipe:
    recipe = new_recipe(Source("a.obj"))
    for operation in (CLIP, GROW, CLIP):
        recipe = recipe.inserted(operation)
    return recipe


def test_steps_are_put_in_shop_order_with_ids_of_their_own() -> None:
    recipe = toy_recipe()
    assert [(step.id, step.operation) for step in recipe.steps] == [
        ("s1", "bring"),
        ("s3", "grow"),
        ("s2", "clip"),
        ("s4", "clip"),
    ]


def test_edits_give_new_recipes_and_leave_the_old_alone() -> None:
    recipe = toy_recipe()
    before = dataclasses.replace(recipe)
    assert recipe.with_parameters("s2", {"height": 5}).step("s2").parameters.height == 5.0
    assert not recipe.toggled("s2").step("s2").enabled
    assert recipe.toggled("s2").toggled("s2") == recipe
    assert recipe.noted("s2", "sand it").step("s2").note == "sand it"
    assert recipe.removed("s2").inserted(CLIP).steps[-1].id == "s2"
    assert recipe.with_source(None).source is None
    assert recipe == before


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"height": -1}, ["Step s2 (clip)", "Clip height", "must be at least 0 mm", "-1"]),
        ({"height": "3"}, ["must be a plain number in mm", '"3"']),
        ({"height": float("nan")}, ["finite number"]),
        ({"heigth": 1}, ["heigth", "not known", "height, spots, washer"]),
        ({"height": 901}, ["over 900 mm needs spots"]),
        ({"spots": [{"point": [1, 2]}]}, ["spots[0].point"]),
    ],
)
def test_a_value_that_makes_no_sense_is_refused_in_one_sentence(
    changes: dict[str, Any], words: list[str]
) -> None:
    with pytest.raises(ParameterError) as caught:
        toy_recipe().with_parameters("s2", changes)
    for word in words:
        assert word in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_may_not_stand_twice_or_be_missing_is_refused() -> None:
    recipe = toy_recipe()
    with pytest.raises(RecipeError, match="second grow"):
        recipe.inserted(GROW)
    with pytest.raises(RecipeError, match="must start with bring"):
        recipe.removed("s1")
    with pytest.raises(RecipeError, match="no step s9; its steps are: s1, s3, s2, s4"):
        recipe.toggled("s9")
    with pytest.raises(RecipeError, match=r"^Grow cannot be moved down: it belongs before Clip\.$"):
        recipe.moved("s3", 1)
    with pytest.raises(RecipeError, match=r"^Grow cannot be moved up: it belongs after Bring in\.$"):
        recipe.moved("s3", -1)


@pytest.mark.parametrize(
    ("assignment", "step", "name", "value"),
    [
        ("s2.height=5", "s2", "height", 5.0),
        ("grow.factor= 1.5", "s3", "factor", 1.5),
        ("grow.rule=height", "s3", "rule", "height"),
        ("grow.height=null", "s3", "height", None),
        ("s4.washer=10", "s4", "washer", "10"),
        ('s4.washer="M=8"', "s4", "washer", "M=8"),
        ("bring.leave_out=a, b*", "s1", "leave_out", ("a", "b*")),
        ('bring.leave_out=["a"]', "s1", "leave_out", ("a",)),
    ],
)
def test_a_parameter_is_set_from_text(assignment: str, step: str, name: str, value: object) -> None:
    assert getattr(set_parameter(toy_recipe(), assignment).step(step).parameters, name) == value


@pytest.mark.parametrize(
    ("assignment", "words"),
    [
        ("height=5", "STEP.PARAMETER=VALUE"),
        ("s2.height", "STEP.PARAMETER=VALUE"),
        ("clip.height=5", "2 steps of clip; say which: s2 or s4"),
        ("bore.height=5", "no step bore; it has: s1 (bring), s3 (grow)"),
        ("s2.depth=5", "no parameter depth; it has: height, spots, washer"),
        ("s2.height=low", "must be a plain number in mm"),
        ("s2.height=12 cm", 'must be a plain number in mm, but is "12 cm"'),
        ("grow.rule=size", "'factor' or 'height'"),
    ],
)
def test_a_setting_that_cannot_be_is_refused_with_what_can(assignment: str, words: str) -> None:
    with pytest.raises(ParameterError) as caught:
        set_parameter(toy_recipe(), assignment)
    assert words in str(caught.value)
