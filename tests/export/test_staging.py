"""All files or none: with a failing disk, interrupted, and killed at every point the disk is touched."""

import subprocess
import sys
from pathlib import Path

import pytest

import holdwright
from holdwright.export.staging import staged

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
with staged(Path(sys.argv[1])) as stage:
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


def test_killed_anywhere_the_next_run_finds_old_or_new_files_whole(tmp_path: Path) -> None:
    source = Path(holdwright.__file__).parent.parent
    seen = set()
    for point in range(100):
        folder = tmp_path / str(point)
        folder.mkdir()
        for name, text in OLD.items():
            (folder / name).write_text(text)
        program = [sys.executable, "-S", "-c", KILLED, str(folder), str(point)]
        ended = subprocess.run(program, env={"PYTHONPATH": str(source)}, check=False)
        for name, text in contents(folder).items():
            assert text in (OLD.get(name), NEW[name])  # never half a file, even before anyone recovers
        with pytest.raises(ValueError, match="later"), staged(folder):
            raise ValueError("later")  # the next one to come recovers, whatever becomes of it
        assert contents(folder) in (OLD, NEW)
        assert not hidden(folder)
        seen.add("new" if contents(folder) == NEW else "old")
        if ended.returncode == 0:
            break
        assert ended.returncode == -9
    else:
        pytest.fail("never came to its end")
    assert seen == {"old", "new"}
    assert point > 15


def test_a_strange_journal_moves_nothing(folder: Path) -> None:
    stage = folder / ".holdwright-strange"
    (stage / "new").mkdir(parents=True)
    (stage / "journal.json").write_text('{"files": ["../../a.stl", 7]')
    stage_new(folder)
    assert contents(folder) == NEW
    assert not hidden(folder)


def test_a_journal_never_names_a_place_elsewhere(folder: Path) -> None:
    inner = folder / "inner"
    stage = inner / ".holdwright-strange"
    (stage / "new").mkdir(parents=True)
    (stage / "new" / "a.stl").write_text("strange")
    (stage / "journal.json").write_text('{"files": ["../a.stl"], "fresh": []}')
    stage_new(inner)
    assert contents(inner) == NEW
    assert (folder / "a.stl").read_text() == "old a"
