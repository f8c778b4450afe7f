"""What comes from files is bounded while it is read, as it is while working."""

import json
import time
from pathlib import Path
from typing import Any

import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import LONGEST_SENTENCE, CatalogueError, HoldwrightError, RecipeError
from holdwright.parameters.kinds import MOST_ENTRIES
from holdwright.parameters.piece_names import matches_any
from holdwright.pipeline.recipes.recipe_entries import MOST_STEPS
from holdwright.pipeline.recipes.recipe_file import read_recipe
from holdwright.pipeline.strict_json import strict_json
from holdwright.validation_messages import DEEPEST


def seconds_for(text: str) -> tuple[float, str]:
    begun = time.process_time()
    with pytest.raises(RecipeError) as caught:
        read_recipe(text)
    return time.process_time() - begun, str(caught.value)


def test_entries_given_twice_are_found_in_linear_time() -> None:
    keys = [f'"{number}":0' for number in range(40_000)]
    seconds, told = seconds_for("{" + ",".join([*keys, keys[-1]]) + "}")
    assert seconds < 1.0
    assert '"39999" twice' in told


def steps(*parameters: dict[str, Any]) -> str:
    entries = [{"id": "s1", "operation": "import_sculpt"}, {"id": "s2", "operation": "chamfer_tips"}]
    for entry, values in zip(entries, parameters, strict=False):
        entry["parameters"] = values
    return json.dumps({"format": 1, "steps": entries})


@pytest.mark.parametrize("most", [MOST_ENTRIES, MOST_ENTRIES + 1])
def test_picks_and_patterns_have_a_bound(most: int) -> None:
    picks = {"tips": "picked", "picks": [{"point": [0, 0, 0]}] * most}
    for text, name in (
        (steps({"leave_out": ["a*"] * most}), "steps[0].parameters.leave_out"),
        (steps({}, picks), "steps[1].parameters.picks"),
    ):
        if most == MOST_ENTRIES:
            read_recipe(text)
            continue
        with pytest.raises(RecipeError) as caught:
            read_recipe(text)
        assert str(caught.value).startswith(f"{name}: must be a list of at most {MOST_ENTRIES}")


def test_long_patterns_far_picks_and_many_steps() -> None:
    assert "at most 200 letters" in seconds_for(steps({"leave_out": ["*a" * 101]}))[1]
    assert "at most 1e+06" in seconds_for(steps({}, {"picks": [{"point": [1e7, 0, 0]}]}))[1]
    many = json.dumps({"format": 1, "steps": [0] * 1_000_000})
    seconds, told = seconds_for(many)
    assert f"steps: must be a list of at most {MOST_STEPS}" in told
    assert seconds < 5.0


def test_many_patterns_on_many_pieces_take_no_time() -> None:
    patterns = [f"{number}*a*a*a*a*b" for number in range(1000)]
    begun = time.process_time()
    assert not any(matches_any(patterns, f"{number}" + "a" * 60) for number in range(200))
    assert time.process_time() - begun < 10.0
    assert matches_any(["[a]*"], "axe")
    assert matches_any(["[a]"], "[a]/1")


@pytest.mark.parametrize(("deep", "refused"), [(DEEPEST - 5, False), (DEEPEST + 5, True), (100_000, True)])
def test_depth(deep: int, refused: bool) -> None:
    for text in ("[" * deep + "]" * deep, '{"a":' * deep + "1" + "}" * deep):
        if refused:
            with pytest.raises(RecipeError, match=f"nested more than {DEEPEST} deep"):
                strict_json(text, "It")
        else:
            strict_json(text, "It")


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 60 + "]" * 60,
        "a = " + "[" * 100_000 + "]" * 100_000,
        "a = " + "{a=" * 20_000 + "1" + "}" * 20_000,
        "[[washer]]\nname" + ".a" * 100 + " = 1",
        "[a" + ".a" * 2000 + "]",
    ],
)
def test_deep_tables(text: str, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(text, encoding="utf-8")
    with pytest.raises(CatalogueError, match=f"nested more than {DEEPEST} deep"):
        load_catalogue(own=own)


@pytest.mark.parametrize(
    "text", ["a = 1e999999", "a = 2026-13-99", "a = " + "9" * 5000, "\ufeff", "a=1\na=1", "x" * 1_000_001]
)
def test_odd_tables(text: str, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(text, encoding="utf-8")
    with pytest.raises(CatalogueError):
        load_catalogue(own=own)


def test_sentences_have_a_bound() -> None:
    assert len(str(HoldwrightError("a" * 10_000))) <= LONGEST_SENTENCE
    assert str(HoldwrightError("x" * 10_000 + "; try another.")).endswith("; try another.")
    many = {f"odd{number}" * 20: 0 for number in range(3000)}
    told = seconds_for(steps(many))[1]
    assert len(told) <= LONGEST_SENTENCE
    assert told.endswith(" more")
    twice = json.dumps({"k" * 100_000: 0})[:-1] + "," + json.dumps({"k" * 100_000: 0})[1:]
    assert len(seconds_for(twice)[1]) <= LONGEST_SENTENCE
