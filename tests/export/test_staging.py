"""All files or none: with a failing disk, interrupted, and killed at every point the disk is touched."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from export.killed_exports import NEW, OLD, POSIX, contents, hidden, killed_at, stage_new
from holdwright.export.staging import staged


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
