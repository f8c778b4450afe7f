import json
from pathlib import Path

import pytest

from holdwright.errors import RecipeError
from holdwright.pipeline.recipes.set_file import HoldSet, load_set
from holdwright.pipeline.recipes.variants import ENVELOPES
from holdwright.resources import sample_folder


def written(tmp_path: Path, **content: object) -> Path:
    path = tmp_path / "wall.set.json"
    path.write_text(json.dumps({"format": 1, **content}), "utf-8")
    return path


def read(tmp_path: Path, *holds: dict[str, object], **others: object) -> HoldSet:
    return load_set(written(tmp_path, holds=list(holds), **others))


def test_holds_are_named_by_sculpt_hand_and_size(tmp_path):
    of = read(
        tmp_path,
        {"sculpt": "jug.obj"},
        {"sculpt": "jug.obj"},
        {"sculpt": "jug.obj", "mirror": True, "size": "L"},
        {"sculpt": "jug.obj", "size": 142.5},
        {"sculpt": "deep/crimp.stl", "name": "jug", "count": 3},
    )
    assert [hold.name for hold in of.holds] == ["jug-2", "jug-3", "jug-mirrored-L", "jug-142.5", "jug"]
    assert [hold.variant.size for hold in of.holds] == [None, None, ENVELOPES["L"], 142.5, None]
    assert of.holds[4].sculpt == tmp_path / "deep" / "crimp.stl"
    assert (of.name, of.holds[4].count, of.holds[0].recipe) == ("wall.set", 3, "starter")


def test_sizes_can_be_ones_own(tmp_path):
    of = read(tmp_path, {"sculpt": "jug.obj", "size": "L"}, name="Wall", sizes={"L": 200})
    assert (of.name, of.holds[0].variant.size) == ("Wall", 200.0)


def test_a_recipe_beside_the_set_goes_before_a_shipped_one(tmp_path):
    (tmp_path / "starter").write_text("{}", "utf-8")
    assert read(tmp_path, {"sculpt": "jug.obj"}).holds[0].recipe == str(tmp_path / "starter")


@pytest.mark.parametrize(
    ("hold", "said"),
    [
        ({}, r"holds\[0\].sculpt: .*missing"),
        ({"sculpt": "a.obj", "count": 0}, r"holds\[0\].count: must be at least 1"),
        ({"sculpt": "a.obj", "count": 2.5}, r"holds\[0\].count: must be a whole number"),
        (
            {"sculpt": "a.obj", "size": "huge"},
            r"holds\[0\].size: .*must be one of XS, S, M, L, XL, XXL, or mm",
        ),
        ({"sculpt": "a.obj", "size": -3}, r"holds\[0\].size: .*must be from 1 to 5000 mm"),
        ({"sculpt": "a.obj", "name": "../up"}, r"holds\[0\].name: .*must be a name of 1 to 100 letters"),
        ({"sculpt": "a.obj", "mirrored": True}, r"holds\[0\].mirrored: is not known"),
    ],
)
def test_what_is_wrong_is_said_with_its_place(tmp_path, hold, said):
    with pytest.raises(RecipeError, match=said):
        read(tmp_path, hold)


def test_names_are_not_given_twice(tmp_path):
    with pytest.raises(
        RecipeError, match=r'holds\[1\].name: is "Jug", as that of holds\[0\]; names must differ'
    ):
        read(tmp_path, {"sculpt": "a.obj", "name": "jug"}, {"sculpt": "b.obj", "name": "Jug"})


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ({"holds": []}, "lists no holds; add one"),
        ({"steps": []}, "holds no set: it should be a JSON object with format and holds"),
        ({"format": 9, "holds": []}, "for a newer Holdwright .format 9; this one reads 1"),
    ],
)
def test_what_is_no_set_is_said(tmp_path, content, said):
    with pytest.raises(RecipeError, match=said):
        load_set(written(tmp_path, **content))


def test_a_missing_file_is_said(tmp_path):
    with pytest.raises(RecipeError, match=r"none.json cannot be read: No such file"):
        load_set(tmp_path / "none.json")


def test_the_sample_set_has_eight_holds_or_more_of_three_sculpts():
    of = load_set(sample_folder() / "hall-wall.set.json")
    assert len(of.holds) >= 8
    assert len({hold.sculpt for hold in of.holds}) == 3
    assert all(hold.sculpt.is_file() for hold in of.holds)
