"""Names that are no UTF-8, or hold letters that mislead: all is done with them, and they show as escapes."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

import holdwright
from holdwright.errors import InputError
from holdwright.files.reading import read_sculpt
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Recipe, Source
from holdwright.pipeline.recipes.recipe_file import load_recipe, recipe_text
from holdwright.printable import printable
from holdwright.session import Session, open_session, unsaved_changes
from mesh_files import write_obj
from recipes import new_recipe
from shapes import boulder

POSIX = pytest.mark.skipif(sys.platform != "linux", reason="other systems keep names as Unicode")
ODD = os.fsdecode(b"h\xf6ld\x1b[31m\n") + "\u202egpj"
SHOWN = "h\\xf6ld\\x1b[31m\\n\\u202egpj"


@pytest.fixture
def sculpt(tmp_path: Path) -> Path:
    folder = tmp_path / os.fsdecode(b"d\xff")
    folder.mkdir()
    return write_obj(folder / f"{ODD}.obj", boulder(segments=24))


def command(*words: str | Path) -> subprocess.CompletedProcess[str]:
    source = str(Path(holdwright.__file__).parent.parent)
    return subprocess.run(
        [sys.executable, "-m", "holdwright", *map(os.fsencode, words)],
        env={**os.environ, "PYTHONPATH": source},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize(
    "letter", ["\x00", "\x07", "\n", "\x7f", "\x9b", "\u200f", "\u202e", "\u2066", "\udcff"]
)
def test_what_misleads_is_an_escape(letter: str) -> None:
    assert printable(f"a{letter}b").isascii()
    assert len(printable(f"a{letter}b")) > 3


def test_names_of_all_tongues_stay() -> None:
    for name in ("Größe 3", "ホールド", "חור", "مقبض", "👩\u200d🔧", "a\\b"):
        assert printable(name) == name


def test_an_error_shows_a_name_as_escapes() -> None:
    assert str(InputError(f"{ODD} cannot be read.")) == f"{SHOWN} cannot be read."


@POSIX
def test_the_command_line_works_and_shows_escapes(sculpt: Path) -> None:
    for words in (["inspect", sculpt], ["replay", "starter", sculpt, "--out", sculpt.parent / "out"]):
        ended = command(*words)
        assert ended.returncode == 0, ended.stderr
        assert SHOWN in ended.stdout
        assert not any(ord(letter) < 32 or letter == "\u202e" for letter in ended.stdout.replace("\n", ""))
    written = sorted(path.name for path in (sculpt.parent / "out").iterdir())
    assert f"{ODD}-shell.stl" in written
    assert f"{ODD}.report.json" in written


@POSIX
def test_a_refusal_shows_escapes(sculpt: Path) -> None:
    for words in (["inspect", f"{sculpt}x"], ["check", sculpt.parent / f"{ODD}.json", sculpt]):
        ended = command(*words)
        assert ended.returncode in (2, 3)
        told = ended.stdout + ended.stderr
        assert SHOWN in told
        assert "\u202e" not in told
        assert told.endswith(".\n")


@POSIX
def test_a_piece_called_by_its_file_shows_escapes(tmp_path: Path) -> None:
    plain = tmp_path / f"{ODD}.obj"
    plain.write_text("v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n")
    assert [piece.name for piece in read_sculpt(plain).pieces] == [SHOWN]


def recipe_for(sculpt: Path) -> Recipe:
    return new_recipe(Source(str(sculpt), "00"))


@POSIX
def test_recipe_and_autosave_come_back(sculpt: Path, tmp_path: Path) -> None:
    recipe, path = recipe_for(sculpt), sculpt.parent / f"{ODD}.json"
    kept = tmp_path / "kept"
    session = Session(History.of(recipe), autosaves=kept)
    session.save(path)
    path.read_bytes().decode("utf-8")
    assert load_recipe(path).source == Source(sculpt.name, "00")
    opened = open_session(path, autosaves=kept)
    assert opened.recipe.source is not None
    assert Path(opened.recipe.source.path).samefile(sculpt)
    opened.change(opened.recipe.noted("s1", "kept"))
    opened.autosave()
    left = unsaved_changes(path, kept)
    assert left is not None
    assert left.history.recipe == opened.recipe


def test_a_recipe_without_odd_names_is_written_as_ever(tmp_path: Path) -> None:
    recipe, path = recipe_for(tmp_path / "größe.obj"), tmp_path / "hold.json"
    Session(History.of(recipe)).save(path)
    assert "größe.obj" in path.read_text("utf-8")
    assert "größe.obj" in recipe_text(recipe)
