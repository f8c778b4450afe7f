from pathlib import Path

import pytest

from holdwright.errors import RecipeError
from holdwright.pipeline.recipes.autosave import (
    Autosave,
    autosave_path,
    drop_autosave,
    find_autosave,
    write_autosave,
)
from holdwright.pipeline.recipes.history import History, change_text
from holdwright.pipeline.recipes.recipe import Recipe, Source
from pipeline.toys import TOYS, toy_operations, toys
from recipes import new_recipe

__all__ = ["toys"]
pytestmark = pytest.mark.usefixtures("toys")

BRING, GROW, CLIP = TOYS
with toy_operations():
    START = new_recipe().inserted(CLIP)
    GROWN, BARE = START.inserted(GROW), START.removed("s2")


def clipped(height: float) -> Recipe:
    return START.with_parameters("s2", {"height": height})


def test_undo_and_redo_walk_the_same_road() -> None:
    history = History.of(START).changed(clipped(5)).changed(clipped(7))
    assert (history.undo_text, history.redo_text) == ("clip height 5 -> 7 mm", None)
    back = history.undone()
    assert back.recipe == clipped(5)
    assert (back.undo_text, back.redo_text) == ("clip height 3 -> 5 mm", "clip height 5 -> 7 mm")
    assert back.redone() == history
    assert back.undone().undone().recipe == START
    assert history.redone() is history
    other = back.changed(clipped(9))
    assert other.future == ()
    assert other.undo_text == "clip height 5 -> 9 mm"


def test_a_drag_is_one_entry_until_it_ends() -> None:
    history = History.of(START)
    for height in (4, 5, 6):
        history = history.changed(clipped(height), tag="s2.height")
    assert len(history.past) == 1
    assert history.undo_text == "clip height 3 -> 6 mm"
    history = history.squash("s2.height").changed(clipped(8), tag="s2.height")
    assert [entry.text for entry in (*history.past, history.present)] == [
        "",
        "clip height 3 -> 6 mm",
        "clip height 6 -> 8 mm",
    ]


def test_a_drag_back_to_where_it_began_leaves_nothing_to_undo() -> None:
    history = History.of(START).changed(clipped(5), tag="drag").changed(START, tag="drag")
    assert history == History.of(START)
    assert History.of(START).changed(START) == History.of(START)


def test_an_undone_drag_does_not_take_up_again() -> None:
    history = (
        History.of(START).changed(clipped(5), tag="drag").undone().redone().changed(clipped(6), tag="drag")
    )
    assert len(history.past) == 2


def test_the_oldest_entries_are_forgotten_beyond_either_limit() -> None:
    history = History.of(START)
    for height in range(10, 20):
        history = history.changed(clipped(height), most_entries=4)
    assert len(history.past) == 3
    assert history.past[0].recipe == clipped(16)
    weight = history.present.weight
    history = history.changed(clipped(50), most_bytes=int(2.5 * weight))
    assert [entry.recipe for entry in history.past] == [clipped(19)]


@pytest.mark.parametrize(
    ("new", "text"),
    [
        (GROWN, "add grow"),
        (BARE, "remove clip"),
        (START.toggled("s2"), "switch off clip"),
        (START.noted("s2", "sand"), "note on clip"),
        (START.with_source(Source("b.obj")), "sculpt b.obj"),
        (START, ""),
    ],
)
def test_changes_are_told_in_the_shops_words(new: Recipe, text: str) -> None:
    assert change_text(START, new) == text


def test_an_autosave_brings_recipe_and_history_back(tmp_path: Path) -> None:
    history = History.of(START).changed(clipped(5)).changed(clipped(7)).undone()
    kept = Autosave(history, START)
    for path in (None, tmp_path / "a.json"):
        write_autosave(tmp_path / "kept", path, kept)
        assert find_autosave(tmp_path / "kept", path) == kept
    assert find_autosave(tmp_path / "kept", tmp_path / "b.json") is None
    drop_autosave(tmp_path / "kept", None)
    drop_autosave(tmp_path / "kept", None)
    assert find_autosave(tmp_path / "kept", None) is None


@pytest.mark.parametrize("damage", ["", "{}", '"present":9', '"format":2'])
def test_a_damaged_autosave_counts_as_absent(damage: str, tmp_path: Path) -> None:
    write_autosave(tmp_path, None, Autosave(History.of(START), START))
    path = autosave_path(tmp_path, None)
    text = path.read_text()
    if ":" in damage:
        name = damage.partition(":")[0]
        text = text.replace(f"{name}: {1 if 'format' in name else 0}", damage, 1)
    path.write_text(text if ":" in damage else damage)
    assert find_autosave(tmp_path, None) is None


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(RecipeError, match="autosave cannot be written"):
        write_autosave(tmp_path / "file", None, Autosave(History.of(START), START))
