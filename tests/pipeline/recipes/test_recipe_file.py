from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from holdwright.errors import RecipeError
from holdwright.parameters.kinds import PointPick
from holdwright.pipeline.parameter_reading import UnknownParameters
from holdwright.pipeline.recipes.recipe import Recipe, Source, Step
from holdwright.pipeline.recipes.recipe_file import (
    dump_recipe,
    find_recipe,
    load_recipe,
    read_recipe,
    recipe_of,
    recipe_text,
    save_recipe,
)
from pipeline.toys import TOYS, ClipParameters, GrowParameters, toys
from recipes import new_recipe

__all__ = ["toys"]
pytestmark = pytest.mark.usefixtures("toys")

BRING, GROW, CLIP = TOYS


def step(**entries: Any) -> dict[str, Any]:
    return {"id": "s1", "operation": "bring", "version": 1, "enabled": True, "parameters": {}, **entries}


def problems(*steps: Any, **entries: Any) -> dict[str, str]:
    with pytest.raises(RecipeError) as caught:
        recipe_of({"format": 1, "steps": list(steps), **entries})
    assert caught.value.exit_code == 2
    return dict(caught.value.problems)


def test_parameters_left_out_take_their_defaults_and_are_all_written() -> None:
    recipe = recipe_of(
        {"format": 1, "steps": [{"id": "s1", "operation": "bring"}, {"id": "s2", "operation": "clip"}]},
    )
    assert recipe.step("s2").parameters == ClipParameters()
    written = dump_recipe(recipe)["steps"][1]
    assert written["parameters"] == {"height": 3, "spots": [], "washer": "M10"}
    assert list(written["parameters"]) == sorted(written["parameters"])
    assert "source" not in dump_recipe(recipe)


numbers = st.floats(0, 900, allow_nan=False)
anything = st.none() | st.booleans() | numbers | st.text() | st.lists(numbers)
spots = st.builds(PointPick, point=st.tuples(numbers, numbers, numbers))


@settings(deadline=None, max_examples=30)
@given(
    st.builds(ClipParameters, height=numbers, spots=st.lists(spots, max_size=2).map(tuple), washer=st.text()),
    st.floats(min_value=0.001, max_value=1e300),
    st.dictionaries(
        st.text(), st.none() | st.booleans() | numbers | st.text() | st.lists(numbers), max_size=3
    ),
    st.text(),
)
def test_what_was_written_is_read_back(
    clip: ClipParameters, factor: float, unknown: dict[str, Any], note: str
) -> None:
    recipe = new_recipe(Source("sculpt é.obj", "00ff"))
    recipe = recipe.inserted(GROW, GrowParameters(factor=factor))
    recipe = recipe.inserted(CLIP, clip).noted("s3", note).toggled("s2")
    polish = Step("s7", "polish", 4, UnknownParameters.model_validate(unknown), note="by hand")
    recipe = Recipe(recipe.source, (*recipe.steps, polish))
    assert read_recipe(recipe_text(recipe)) == recipe


def test_every_problem_is_told_with_its_path() -> None:
    told = problems(
        step(colour=1),
        step(id="7", operation="clip", enabled="yes"),
        step(id="s3", operation="clip", parameters={"height": True, "depth": 2}),
        step(id="s4", operation="grow", version=4),
        {"operation": "clip"},
        "clip",
        size=3,
        source={"path": 5},
    )
    assert set(told) == {
        "size",
        "source.path",
        "steps[0].colour",
        "steps[1].id",
        "steps[1].enabled",
        "steps[2].parameters.height",
        "steps[2].parameters.depth",
        "steps[3].version",
        "steps[4].id",
        "steps[5]",
    }
    assert told["steps[2].parameters.depth"] == "is not known here; possible here: height, spots, washer"
    assert told["steps[4].id"] == "is missing"
    assert told["steps[1].id"] == 'must be an "s" and a number, such as "s4", but is "7"'
    assert told["steps[1].enabled"] == 'must be true or false, but is "yes"'
    assert told["source.path"] == "must be text, but is 5"
    assert told["steps[5]"] == 'must be a group of named values, but is "clip"'
    assert "true" in told["steps[2].parameters.height"]
    assert "newer Holdwright" in told["steps[3].version"]


def test_steps_out_of_order_twice_or_without_a_first_are_told_at_once() -> None:
    told = problems(
        step(operation="clip"),
        step(id="s2", operation="grow", version=3),
        step(id="s2", operation="grow", version=3),
    )
    assert set(told) == {"steps", "steps[1]", "steps[2].id", "steps[2]"}
    assert "belongs before clip" in told["steps[1]"]
    assert set(problems()) == {"steps"}


def test_a_newer_format_is_refused_in_one_sentence() -> None:
    with pytest.raises(RecipeError, match=r"for a newer Holdwright \(format 2; this one reads 1\)"):
        recipe_of({"format": 2, "steps": "whatever"})


def test_older_versions_are_led_on() -> None:
    """A recipe of version 1 said "times", one of version 2 "percent"."""
    for version, parameters in ((1, {"times": 3}), (2, {"percent": 300}), (3, {"factor": 3})):
        grow = step(id="s2", operation="grow", version=version, parameters=parameters)
        recipe = recipe_of({"format": 1, "steps": [step(), grow]})
        assert recipe.step("s2") == Step("s2", "grow", 3, GrowParameters(factor=3.0))


def test_an_older_version_without_its_parameters_is_told() -> None:
    told = problems(step(), step(id="s2", operation="grow", parameters={}))
    assert "cannot be led on from version 1" in told["steps[1].parameters"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b'{"format": 1, "format": 1}', '"format" twice'),
        (b'{"format": NaN}', "finite"),
        (b'{"format": -Infinity}', "finite"),
        (b'{"format": 1e999}', "finite"),
        (b'{"format": ' + b"9" * 5000 + b"}", "finite"),
        (b"[" * 100_000, "nested more than"),
        (b'{"format": 1,', "not JSON"),
        (b"\xff\xfe{", "not UTF-8"),
        (b"[]", "holds no recipe"),
        (b"", "not JSON"),
        (b" " * 9_000_000, "too much for a recipe"),
    ],
    ids=range(11),
)
def test_what_is_no_recipe_is_refused_in_one_sentence(content: bytes, words: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.json"
    path.write_bytes(content)
    with pytest.raises(RecipeError) as caught:
        load_recipe(path)
    assert words in str(caught.value)
    assert "bad.json" in str(caught.value)
    assert len(str(caught.value)) < 300


def test_a_missing_file_or_a_folder_is_told(tmp_path: Path) -> None:
    for path in (tmp_path / "none.json", tmp_path):
        with pytest.raises(RecipeError, match="cannot be read"):
            load_recipe(path)


def test_saving_replaces_whole_and_leaves_nothing_beside(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text("old")
    recipe = new_recipe()
    save_recipe(recipe, path)
    assert load_recipe(path) == recipe
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.json"]


def test_a_save_that_fails_keeps_the_old_file(tmp_path: Path) -> None:
    (tmp_path / "folder.json").mkdir()
    with pytest.raises(RecipeError, match="cannot be written"):
        save_recipe(new_recipe(), tmp_path / "folder.json")
    assert [entry.name for entry in tmp_path.iterdir()] == ["folder.json"]
    with pytest.raises(RecipeError, match="cannot be written"):
        save_recipe(new_recipe(), tmp_path / "none" / "a.json")


def test_a_recipe_is_found_by_path_or_name(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text("{}")
    assert find_recipe(str(path)) == path
    with pytest.raises(RecipeError, match="no recipe file nothing"):
        find_recipe("nothing")


def test_an_id_that_no_encoding_can_write_is_refused_in_a_sentence() -> None:
    assert r"s1\ud800" in problems(step(id="s1\ud800"))["steps[0].id"]
