"""Only a journal of ours tells what a killed export left: strange stages and damaged journals do nothing."""

import json
import shutil
from pathlib import Path

import pytest

from export.killed_exports import NEW, OLD, POSIX, contents, hidden, killed_while_moving, stage_new, state
from holdwright.export.staging import left_alone, recover_everywhere, staged


def plant(folder: Path, name: str, journal: str, new: dict[str, str]) -> Path:
    """Make what a stranger would: a stage of theirs, with a journal in it."""
    stage = folder / name
    (stage / "new").mkdir(parents=True)
    (stage / "old").mkdir()
    for each, text in new.items():
        (stage / "new" / each).write_text(text)
    for file in ("journal.json", "retreat.json"):
        (stage / file).write_text(journal)
    return stage


@pytest.mark.parametrize(
    "journal",
    [
        '{"files": ["mine.obj", "a.stl"], "fresh": []}',
        '{"files": ["mine.obj"], "fresh": ["mine.obj"]}',
        '{"files": ["../mine.obj"], "fresh": []}',
        '{"files": ["../../a.stl", 7]',
        "",
    ],
)
def test_a_planted_stage_moves_and_deletes_nothing(folder: Path, journal: str) -> None:
    (folder / "mine.obj").write_text("the sculpt that is read")
    stage = plant(folder, ".holdwright-planted", journal, {"mine.obj": "strange"})
    plant(folder, ".holdwright-removing", journal, {})
    before = sorted(stage.rglob("*"))
    stage_new(folder)
    assert contents(folder) == {**NEW, "mine.obj": "the sculpt that is read"}
    assert sorted(stage.rglob("*")) == before
    assert [path.name for path in left_alone(folder)] == [".holdwright-planted", ".holdwright-removing"]


def test_what_a_user_keeps_under_such_a_name_stays(folder: Path) -> None:
    (folder / ".holdwright-backup").mkdir()
    (folder / ".holdwright-backup" / "hold.json").write_text("years of work")
    (folder / ".holdwright-notes").write_text("a plain file")
    (folder / ".holdwright-link").symlink_to(folder / ".holdwright-backup")
    stage_new(folder)
    assert contents(folder) == NEW
    assert (folder / ".holdwright-backup" / "hold.json").read_text() == "years of work"
    assert (folder / ".holdwright-notes").read_text() == "a plain file"
    assert (folder / ".holdwright-link").is_symlink()


@POSIX
@pytest.mark.parametrize("swapped", ["stage", "new"])
def test_a_stage_swapped_for_a_link_is_left_alone(folder: Path, swapped: str) -> None:
    stage = killed_while_moving(folder)
    part = stage if swapped == "stage" else stage / "new"
    elsewhere = folder / "elsewhere"
    part.rename(elsewhere)
    (elsewhere / "b.stl").write_text("strange")
    part.symlink_to(elsewhere)
    recover_everywhere()
    assert (folder / "b.stl").read_text() == "old b"
    assert (elsewhere / "b.stl").read_text() == "strange"


@POSIX
def test_a_stage_of_another_owner_is_left_alone(folder: Path) -> None:
    """As in a shared folder, where another user took the place of the stage."""
    stage = killed_while_moving(folder)
    journal = next(path for path in state(folder).glob("*.json"))
    content = json.loads(journal.read_text())
    owner, mode, inode = content["identity"]
    journal.write_text(json.dumps({**content, "identity": [owner + 1, mode, inode]}))
    recover_everywhere()
    assert (folder / "b.stl").read_text() == "old b"
    assert (stage / "new" / "b.stl").read_text() == "new b.stl"
    stage_new(folder)
    assert contents(folder) == NEW


@pytest.mark.parametrize(
    "change",
    [
        {"files": {"../b.stl": [[9, 9], None]}},
        {"files": {"..": [[9, 9], None]}},
        {"files": ["b.stl", 7]},
        {"files": {"b.stl": 7}},
        {"state": "strange"},
        {"token": "../../x"},
        {"more": 1},
        None,
    ],
)
@POSIX
def test_a_damaged_journal_is_none(folder: Path, change: dict[str, object] | None) -> None:
    (folder / "other.txt").write_text("mine")
    killed_while_moving(folder)
    journal = next(path for path in state(folder).glob("*.json"))
    whole = json.loads(journal.read_text())
    journal.write_text("[" * 100_000 if change is None else json.dumps({**whole, **change}))
    before = contents(folder)
    recover_everywhere()
    assert contents(folder) == before
    assert not journal.exists()


@POSIX
def test_a_file_changed_since_the_kill_stays(folder: Path) -> None:
    killed_while_moving(folder)
    (folder / "b.stl").write_text("a sculpt put there since")
    recover_everywhere()
    assert contents(folder) == {**NEW, "b.stl": "a sculpt put there since"}
    assert not hidden(folder)


@POSIX
def test_a_changed_stage_is_left_alone(folder: Path) -> None:
    stage = killed_while_moving(folder)
    (stage / "new" / "b.stl").write_text("strange")
    recover_everywhere()
    assert contents(folder)["b.stl"] == "old b"
    assert (stage / "new" / "b.stl").read_text() == "strange"
    assert left_alone(folder) == (stage,)


@POSIX
def test_the_next_start_finishes_what_was_killed(folder: Path) -> None:
    killed_while_moving(folder)
    recover_everywhere()
    assert contents(folder) == NEW
    assert not hidden(folder)
    assert not list(state(folder).iterdir())


@POSIX
def test_a_start_leaves_an_export_at_work_alone(folder: Path) -> None:
    with staged(folder) as stage:
        (stage / "a.stl").write_text("new a.stl")
        recover_everywhere()
        assert (stage / "a.stl").exists()
    assert contents(folder) == {**OLD, "a.stl": "new a.stl"}


@POSIX
def test_a_stage_that_cannot_be_removed_stops_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    killed_while_moving(folder)
    left = hidden(folder)

    def refusing(path: Path) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    with monkeypatch.context() as patch:
        patch.setattr(shutil, "rmtree", refusing)
        stage_new(folder)
    assert contents(folder) == NEW
    (folder / "a.stl").write_text("later work")
    assert set(left) <= set(hidden(folder))
    recover_everywhere()
    assert (folder / "a.stl").read_text() == "later work"
    assert not hidden(folder)
