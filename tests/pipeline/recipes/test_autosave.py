"""Autosaves: bounded in number and age, linear to write, and one that is damaged costs the others nothing."""

import json
import os
import random
import time
from pathlib import Path

import pytest

from holdwright.pipeline.recipes import autosave as autosaves
from holdwright.pipeline.recipes.autosave import (
    OLDEST_DAYS,
    Autosave,
    autosave_path,
    find_autosave,
    prune_autosaves,
    unsaved_autosaves,
    write_autosave,
)
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Recipe
from pipeline.toys import TOYS, ClipParameters, toy_operations, toys
from recipes import new_recipe

__all__ = ["toys"]
pytestmark = pytest.mark.usefixtures("toys")

with toy_operations():
    START = new_recipe().inserted(TOYS[2], ClipParameters(height=20))
SAVED = Autosave(History.of(START), START)


def clipped(height: float) -> Recipe:
    return START.with_parameters("s2", {"height": height})


def edited(height: float) -> Autosave:
    return Autosave(History.of(START).changed(clipped(height)), START)


def unsaved(folder: Path) -> dict[str | None, float]:
    found = unsaved_autosaves(folder)
    return {path and path.name: kept.history.recipe.step("s2").parameters.height for path, kept in found}


DAMAGES = {
    "nothing": b"",
    "deep": b"[" * 200_000,
    "a list": b"[1]",
    "NUL in the path": None,
    "not UTF-8": b'{"unsaved": true, "path": "\xff"}',
    "a lone surrogate": b'{"unsaved": true, "path": "\\udc80"}',
    "long number": b"9" * 5000,
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_one_that_cannot_be_read_does_not_end_the_recovery_of_the_others(damage: str, tmp_path: Path) -> None:
    for name, height in (("a.json", 5), ("b.json", 6), ("c.json", 7)):
        write_autosave(tmp_path, tmp_path / name, edited(height))
    spoilt = autosave_path(tmp_path, tmp_path / "b.json")
    content = spoilt.read_bytes()
    spoilt.write_bytes(DAMAGES[damage] or content.replace(b"b.json", b"\\u0000"))
    found = unsaved(tmp_path)
    assert {name: found[name] for name in ("a.json", "c.json")} == {"a.json": 5, "c.json": 7}


def test_mutated_ones_end_nothing(tmp_path: Path) -> None:
    write_autosave(tmp_path, tmp_path / "a.json", edited(5))
    write_autosave(tmp_path, tmp_path / "b.json", edited(6))
    spoilt = autosave_path(tmp_path, tmp_path / "b.json")
    content = spoilt.read_bytes()
    for trial in range(int(os.environ.get("HOLDWRIGHT_TRIALS", "60"))):
        chance = random.Random(trial)
        bad = bytearray(content)
        for _ in range(chance.randint(1, 30)):
            bad[chance.randrange(len(bad))] = chance.randrange(256)
        spoilt.write_bytes(bad[: chance.randrange(len(bad))] if trial % 3 == 0 else bad)
        assert unsaved(tmp_path)["a.json"] == 5
        find_autosave(tmp_path, tmp_path / "b.json")


def test_of_saved_recipes_the_oldest_go_and_of_unsaved_ones_none(tmp_path: Path) -> None:
    now = time.time()
    for number in range(6):
        for kept in (SAVED, edited(5)):
            path = tmp_path / f"{number}-{kept.unsaved}.json"
            write_autosave(tmp_path / "kept", path, kept)
            then = now - 86_400 * (OLDEST_DAYS + 1 if number == 0 else 10 - number)
            os.utime(autosave_path(tmp_path / "kept", path), (then, then))

    def left(unsaved: bool) -> list[int]:
        paths = ((number, tmp_path / f"{number}-{unsaved}.json") for number in range(6))
        return [number for number, path in paths if autosave_path(tmp_path / "kept", path).exists()]

    prune_autosaves(tmp_path / "kept")
    assert (left(unsaved=False), left(unsaved=True)) == ([1, 2, 3, 4, 5], [0, 1, 2, 3, 4, 5])
    prune_autosaves(tmp_path / "kept", most=2)
    assert (left(unsaved=False), left(unsaved=True)) == ([4, 5], [0, 1, 2, 3, 4, 5])


def test_what_is_saved_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in range(5):
        write_autosave(tmp_path, tmp_path / f"{number}.json", SAVED if number else edited(5))
    read: list[str] = []
    loads = json.loads
    monkeypatch.setattr(autosaves.json, "loads", lambda text: read.append(text) or loads(text))
    assert unsaved(tmp_path) == {"0.json": 5}
    assert len(read) == 1


def test_the_cost_of_an_autosave_grows_with_its_history_and_no_faster(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    compared = 0
    equal = Recipe.__eq__

    def count(one: Recipe, other: object) -> bool:
        nonlocal compared
        compared += 1
        return equal(one, other)

    history = History.of(START)
    for number in range(200):
        history = history.changed(clipped(number + 1))
    monkeypatch.setattr(Recipe, "__eq__", count)
    write_autosave(tmp_path, None, Autosave(history, START))
    assert compared <= 2 * 200
    monkeypatch.undo()
    found = find_autosave(tmp_path, None)
    assert found is not None
    assert found.history == history


def test_a_name_that_is_not_utf8(tmp_path: Path) -> None:
    path = tmp_path / os.fsdecode(b"h\xf6ld.json")
    write_autosave(tmp_path, path, edited(5))
    assert find_autosave(tmp_path, path) == edited(5)
