"""All files or none: with a failing disk, interrupted, and killed at every point the disk is touched."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import holdwright
from holdwright.export.staging import left_alone, recover_everywhere, staged

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="links, owners and SIGKILL are of POSIX")
NAMES = ("a.stl", "b.stl", "c.3mf")
OLD = {"a.stl": "old a", "b.stl": "old b"}  # c.3mf has no predecessor
NEW = {name: f"new {name}" for name in NAMES}

KILLED = """
import os, signal, sys
from pathlib import Path
from holdwright.export.staging import staged

left, moving, replace = int(sys.argv[2]), sys.argv[3], os.replace

def counted(call):
    def counting(*given, **named):
        global left
        if moving and not (call is replace and "/new/" in str(given[0])):
            return call(*given, **named)
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        left -= 1
        return call(*given, **named)
    return counting

for name in ("fsync", "replace", "rename", "link", "mkdir", "unlink", "rmdir"):
    setattr(os, name, counted(getattr(os, name)))
with staged(Path(sys.argv[1])) as stage:
    for name in ("a.stl", "b.stl", "c.3mf"):
        (stage / name).write_text(f"new {name}")
"""


def contents(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir() if not path.name.startswith(".")}


def hidden(folder: Path) -> list[Path]:
    return [path for path in folder.iterdir() if path.name.startswith(".")]


def state(folder: Path) -> Path:
    return folder.parent / "state" / "holdwright" / "exports"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    made = tmp_path / "files"
    made.mkdir()
    for name, text in OLD.items():
        (made / name).write_text(text)
    return made


def stage_new(folder: Path) -> None:
    with staged(folder) as stage:
        for name, text in NEW.items():
            (stage / name).write_text(text)


def test_files_are_replaced_together(folder: Path) -> None:
    (folder / "other.txt").write_text("mine")
    stage_new(folder)
    assert contents(folder) == {**NEW, "other.txt": "mine"}
    assert not hidden(folder)


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt(), ValueError()])
def test_a_failing_block_changes_nothing(folder: Path, error: BaseException) -> None:
    with pytest.raises(type(error)), staged(folder) as stage:  # noqa: PT012  the block is what fails
        (stage / "a.stl").write_text("half")
        raise error
    assert contents(folder) == OLD
    assert not hidden(folder)


@pytest.mark.parametrize("at", range(3))
@pytest.mark.parametrize("error", [OSError(5, "Input/output error"), KeyboardInterrupt()])
def test_a_failing_replacement_puts_the_old_files_back(
    folder: Path, monkeypatch: pytest.MonkeyPatch, at: int, error: BaseException
) -> None:
    replace, moved = Path.replace, []

    def failing(self: Path, target: Path) -> Path:
        if self.parent.name == "new":
            if len(moved) == at:
                raise error
            moved.append(self.name)
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", failing)
    with pytest.raises(type(error)):
        stage_new(folder)
    assert contents(folder) == OLD
    assert not hidden(folder)


def test_a_folder_in_a_files_place_changes_nothing(folder: Path) -> None:
    (folder / "c.3mf").mkdir()
    with pytest.raises(OSError, match="directory"):
        stage_new(folder)
    (folder / "c.3mf").rmdir()
    assert contents(folder) == OLD
    assert not hidden(folder)


def test_killed_anywhere_the_next_run_finds_old_or_new_files_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    seen = set()
    for point in range(100):
        folder = tmp_path / str(point)
        folder.mkdir()
        for name, text in OLD.items():
            (folder / name).write_text(text)
        code = killed_at(folder, point)
        for name, text in contents(folder).items():
            assert text in (OLD.get(name), NEW[name])  # never half a file, even before anyone recovers
        with pytest.raises(ValueError, match="later"), staged(folder):
            raise ValueError("later")  # the next one to come recovers, whatever becomes of it
        assert contents(folder) in (OLD, NEW)
        assert not hidden(folder)
        seen.add("new" if contents(folder) == NEW else "old")
        if code == 0:
            break
        assert code == -9
    else:
        pytest.fail("never came to its end")
    assert seen == {"old", "new"}
    assert point > 15


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


def killed_at(folder: Path, point: int, *, moving: bool = False) -> int:
    source = Path(holdwright.__file__).parent.parent
    program = [sys.executable, "-S", "-c", KILLED, str(folder), str(point), "moving" if moving else ""]
    environment = {"PYTHONPATH": str(source), "XDG_STATE_HOME": os.environ["XDG_STATE_HOME"]}
    return subprocess.run(program, env=environment, check=False).returncode


def killed_while_moving(folder: Path) -> Path:
    """Kill an export when its first file has moved, and give its stage."""
    assert killed_at(folder, 1, moving=True) == -9
    assert contents(folder)["a.stl"] == "new a.stl"
    assert contents(folder)["b.stl"] == "old b"
    return hidden(folder)[0]


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


@POSIX
def test_a_link_in_a_files_place_is_replaced_not_followed(folder: Path) -> None:
    (folder / "aim.txt").write_text("mine")
    (folder / "c.3mf").symlink_to(folder / "aim.txt")
    stage_new(folder)
    assert (folder / "c.3mf").read_text() == "new c.3mf"
    assert (folder / "aim.txt").read_text() == "mine"


@POSIX
def test_no_folder_for_the_state_stops_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "file").write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(folder / "file"))
    stage_new(folder)
    assert contents(folder) == {**NEW, "file": ""}


@pytest.mark.skipif(sys.platform == "win32", reason="forks, and kills by signal")
def test_killed_inside_the_whole_export() -> None:
    """A short run of the script; by hand it kills 400 times."""
    script = Path(__file__).parents[1] / "kill_export.py"
    ended = subprocess.run([sys.executable, str(script), "24"], capture_output=True, text=True, check=True)
    counts = json.loads(ended.stdout)
    assert counts["broken"] == 0
    assert counts["killed"] > 12
