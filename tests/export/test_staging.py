"""All files or none: with a failing disk, interrupted, and killed at every point the disk is touched."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import holdwright
from holdwright.export.staging import left_alone, recover_everywhere, staged

NAMES = ("a.stl", "b.stl", "c.3mf")
OLD = {"a.stl": "old a", "b.stl": "old b"}  # c.3mf has no predecessor
NEW = {name: f"new {name}" for name in NAMES}

KILLED = """
import os, signal, sys
from pathlib import Path
from holdwright.export.staging import staged

left = int(sys.argv[2])

def counted(call):
    def counting(*given, **named):
        global left
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        left -= 1
        return call(*given, **named)
    return counting

for name in ("fsync", "replace", "rename", "link", "mkdir", "unlink", "rmdir"):
    setattr(os, name, counted(getattr(os, name)))
with staged(Path(sys.argv[1]), ("a.stl", "b.stl", "c.3mf")) as stage:
    for name in ("a.stl", "b.stl", "c.3mf"):
        (stage / name).write_text(f"new {name}")
"""


def contents(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir() if not path.name.startswith(".")}


def hidden(folder: Path) -> list[Path]:
    return [path for path in folder.iterdir() if path.name.startswith(".")]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in OLD.items():
        (tmp_path / name).write_text(text)
    return tmp_path


def stage_new(folder: Path) -> None:
    with staged(folder, NAMES) as stage:
        for name, text in NEW.items():
            (stage / name).write_text(text)


def test_files_are_replaced_together(folder: Path) -> None:
    (folder / "other.txt").write_text("mine")
    stage_new(folder)
    assert contents(folder) == {**NEW, "other.txt": "mine"}
    assert not hidden(folder)


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt(), ValueError()])
def test_a_failing_block_changes_nothing(folder: Path, error: BaseException) -> None:
    with pytest.raises(type(error)), staged(folder, NAMES) as stage:  # noqa: PT012  the block is what fails
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


def killed_at(folder: Path, point: int) -> int:
    """Export into `folder` and be killed at the given touch of the disk; give the program's end."""
    source = Path(holdwright.__file__).parent.parent
    environment = {"PYTHONPATH": str(source), "XDG_STATE_HOME": os.environ["XDG_STATE_HOME"]}
    program = [sys.executable, "-S", "-c", KILLED, str(folder), str(point)]
    return subprocess.run(program, env=environment, check=False).returncode


@pytest.mark.parametrize("at_start", [False, True], ids=["next export", "next start"])
def test_killed_anywhere_old_or_new_files_are_found_whole(tmp_path: Path, at_start: bool) -> None:
    seen = set()
    for point in range(int(os.environ.get("HOLDWRIGHT_KILLS", "100"))):
        folder = tmp_path / str(point)
        folder.mkdir()
        for name, text in OLD.items():
            (folder / name).write_text(text)
        ended = killed_at(folder, point)
        for name, text in contents(folder).items():
            assert text in (OLD.get(name), NEW[name])  # never half a file, even before anyone recovers
        if at_start:
            recover_everywhere()
        else:
            with pytest.raises(ValueError, match="later"), staged(folder, NAMES):
                raise ValueError("later")  # the next one to come recovers, whatever becomes of it
        assert contents(folder) in (OLD, NEW)
        assert not hidden(folder)
        seen.add("new" if contents(folder) == NEW else "old")
        if ended == 0:
            break
        assert ended == -9
    else:
        pytest.fail("never came to its end")
    assert seen == {"old", "new"}
    assert point > 15
    assert list(records()) == []


def records() -> Iterator[Path]:
    return (Path(os.environ["XDG_STATE_HOME"]) / "holdwright" / "exports").glob("*")


def killed_in_mid_move(folder: Path) -> Path:
    """Leave a stage whose journal is written and of whose files none has moved; give it."""
    for point in range(100):
        killed_at(folder, point)
        stages = hidden(folder)
        if stages and (stages[0] / "journal.json").is_file():
            return stages[0]
        recover_everywhere()
    pytest.fail("never left a journal")


PLANTED = ".holdwright-" + "0" * 32


def plant(folder: Path, journal: object, new: dict[str, str] | None = None) -> Path:
    """Put a stage into a folder as a stranger could."""
    stage = folder / PLANTED
    (stage / "new").mkdir(parents=True)
    for name, text in (new or {}).items():
        (stage / "new" / name).write_text(text)
    (stage / "journal.json").write_text(journal if isinstance(journal, str) else json.dumps(journal))
    return stage


@pytest.mark.parametrize(
    "journal",
    [
        {"files": ["b.stl", "sculpt.obj"], "fresh": []},
        {"files": {"sculpt.obj": {"new": [7, 0], "old": [7, 0]}}},
        {"files": ["../a.stl"], "fresh": ["a.stl"]},
        '{"files": ["../../a.stl", 7]',
        "[" * 100_000,
    ],
)
def test_a_planted_stage_is_left_alone(folder: Path, journal: object) -> None:
    (folder / "sculpt.obj").write_text("my sculpt")
    stage = plant(folder, journal, {"sculpt.obj": "strange", "b.stl": "strange"})
    (stage / "retreat.json").write_text(json.dumps({"files": ["sculpt.obj"], "fresh": ["sculpt.obj"]}))
    stage_new(folder)
    assert contents(folder) == {**NEW, "sculpt.obj": "my sculpt"}
    assert left_alone(folder) == (stage,)
    assert (stage / "new" / "sculpt.obj").read_text() == "strange"


def test_what_a_user_named_alike_is_left_alone(folder: Path) -> None:
    backup = folder / ".holdwright-backup"
    backup.mkdir()
    (backup / "mine.txt").write_text("mine")
    (folder / ".holdwright-notes").write_text("mine too")
    (folder / ".holdwright-link").symlink_to(folder)
    stage_new(folder)
    recover_everywhere()
    assert contents(folder) == NEW
    assert (backup / "mine.txt").read_text() == "mine"
    assert len(left_alone(folder)) == 3


def test_a_stage_put_in_the_place_of_ours_is_left_alone(folder: Path) -> None:
    stage = killed_in_mid_move(folder)
    stage.rename(folder / "away")
    (folder / "away").replace(folder / ".kept")
    stage.mkdir(mode=0o700)
    (stage / "new").mkdir()
    (stage / "new" / "a.stl").write_text("strange")
    (stage / "journal.json").write_bytes((folder / ".kept" / "journal.json").read_bytes())
    before = contents(folder)
    recover_everywhere()
    assert contents(folder) == before
    assert stage.is_dir()


@pytest.mark.parametrize("spoil", ["link", "strange name", "open to all", "journal", "another's"])
def test_a_stage_of_ours_that_was_tampered_with_is_left_alone(
    folder: Path, spoil: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    stage = killed_in_mid_move(folder)
    secret = folder.parent / f"{folder.name}-secret"
    secret.write_text("secret")
    match spoil:
        case "link":
            (stage / "new" / "a.stl").unlink()
            (stage / "new" / "a.stl").symlink_to(secret)
        case "strange name":
            (stage / "new" / "other.stl").write_text("strange")
        case "open to all":
            stage.chmod(0o777)
        case "journal":
            (stage / "journal.json").write_text('{"files": {"../x": {"new": [1, 1], "old": null}}}')
        case "another's":
            owner = os.geteuid() + 1
            monkeypatch.setattr(os, "geteuid", lambda: owner)
    recover_everywhere()
    assert contents(folder) == OLD
    stage_new(folder)  # and nothing else is held up by it
    assert contents(folder) == NEW


def test_a_file_changed_since_the_kill_stays(folder: Path) -> None:
    killed_in_mid_move(folder)
    (folder / "a.stl").write_text("a sculpt put there since")
    recover_everywhere()
    assert contents(folder) == {**NEW, "a.stl": "a sculpt put there since"}
    assert not hidden(folder)


def test_an_export_that_is_running_is_not_taken_up(folder: Path) -> None:
    with staged(folder, NAMES) as stage:
        (stage / "a.stl").write_text("new a")
        recover_everywhere()
        assert (stage / "a.stl").read_text() == "new a"


def test_a_link_in_a_files_place_is_replaced_not_followed(folder: Path) -> None:
    elsewhere = folder.parent / f"{folder.name}-elsewhere"
    elsewhere.write_text("elsewhere")
    (folder / "c.3mf").symlink_to(elsewhere)
    stage_new(folder)
    assert contents(folder) == NEW
    assert not (folder / "c.3mf").is_symlink()
    assert elsewhere.read_text() == "elsewhere"


def test_without_a_state_folder_files_are_written_all_the_same(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(folder / "a.stl"))
    stage_new(folder)
    assert contents(folder) == NEW
    assert not hidden(folder)


@pytest.mark.parametrize("text", [b"", b"[]", b"{}\n[1, 2]\n", b"[" * 100_000, b"\xff\xfe"])
def test_a_record_that_cannot_be_read_goes(folder: Path, text: bytes) -> None:
    stage_new(folder)  # makes the folder of records
    home = Path(os.environ["XDG_STATE_HOME"]) / "holdwright" / "exports"
    (home / "strange.json").write_bytes(text)
    recover_everywhere()
    assert list(records()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="forks, and kills by signal")
def test_killed_inside_the_whole_export() -> None:
    """A short run of the script; by hand it kills 400 times."""
    script = Path(__file__).parents[1] / "kill_export.py"
    ended = subprocess.run([sys.executable, str(script), "24"], capture_output=True, text=True, check=True)
    counts = json.loads(ended.stdout)
    assert counts["broken"] == 0
    assert counts["killed"] > 12
