"""Documents kept safe by windows: each on its own, found again after all has gone wrong, and let go."""

import threading
import time
from pathlib import Path

import pytest

pytest.importorskip("PySide6")

from holdwright.gui.document.autosave_folders import AutosaveFolders
from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.opening import each_aside
from holdwright.pipeline.recipes import autosave
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Source
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.session import Session, open_session


@pytest.fixture
def folder(tmp_path) -> Path:
    return tmp_path / "autosave"


def kept(keeping: AutosaveFolders, rim: float, path: Path | None = None) -> None:
    """Keep a document safe that is never saved again."""
    if path is None:
        start = load_recipe(find_recipe("starter")).with_source(Source("/sculpts/a.obj"))
        session = Session(History.of(start), autosaves=keeping.folder)
    else:
        session = open_session(path, autosaves=keeping.folder)
    session.edit("s4", {"rim": rim})
    session.autosave()


def rims(keeping: AutosaveFolders) -> list[float]:
    return sorted(
        left.stored.history.recipe.step("s4").parameters.rim for left in keeping.unsaved_documents()
    )


def test_windows_keep_apart_and_a_window_alone_always_in_one_place(folder):
    first, second = AutosaveFolders(folder), AutosaveFolders(folder)
    assert first.folder != second.folder
    kept(first, 4.0)
    kept(second, 5.0)
    assert rims(first) == [4.0], "what another window has open is not left behind"
    first.release()
    assert rims(second) == [4.0, 5.0]
    second.release()
    again = AutosaveFolders(folder)
    assert again.folder == first.folder
    assert rims(again) == [4.0, 5.0]


def test_what_is_put_aside_is_out_of_the_way_and_found_later(folder):
    keeping = AutosaveFolders(folder)
    kept(keeping, 4.0)
    (left,) = keeping.unsaved_documents()
    keeping.set_aside(left)
    kept(keeping, 6.0)
    assert rims(keeping) == [4.0, 6.0]
    for each in keeping.unsaved_documents():
        keeping.discard(each)
    assert list(folder.iterdir()) == [keeping.folder], "the emptied folder aside is gone"
    assert list(keeping.unsaved_documents()) == []


def test_unsaved_changes_to_a_file_are_found_by_its_path(folder, tmp_path):
    keeping = AutosaveFolders(folder)
    path = tmp_path / "hold.json"
    path.write_bytes(find_recipe("starter").read_bytes())
    assert keeping.unsaved_document(path) is None
    kept(keeping, 8.0, path)
    left = keeping.unsaved_document(path)
    assert left is not None
    assert left.path == path.resolve()
    assert left.stored.history.recipe.step("s4").parameters.rim == 8.0
    session = open_session(path, autosaves=keeping.folder)
    session.edit("s4", {"rim": 9.0})
    session.save()
    assert keeping.unsaved_document(path) is None, "saved since"


def test_what_is_no_autosave_is_passed_over(folder):
    keeping = AutosaveFolders(folder)
    (keeping.folder / "notes.json").write_text("[1]", "utf-8")
    (keeping.folder / "half.json").write_text('{"path": "/a', "utf-8")
    (folder / "stray.txt").write_text("?", "utf-8")
    assert list(keeping.unsaved_documents()) == []


def test_a_history_is_found_whichever_window_kept_it_and_the_latest_wins(folder, tmp_path):
    path = tmp_path / "hold.json"
    path.write_bytes(find_recipe("starter").read_bytes())
    first, second = AutosaveFolders(folder), AutosaveFolders(folder)
    for keeping, rim in ((first, 4.0), (second, 6.0)):
        session = open_session(path, autosaves=keeping.folder, kept_in=keeping.folders_with(path))
        session.edit("s4", {"rim": rim})
        session.save()
    second.release()
    assert first.folders_with(path) == (second.folder, first.folder)
    again = open_session(path, autosaves=first.folder, kept_in=first.folders_with(path))
    assert again.recipe.step("s4").parameters.rim == 6.0
    assert len(again.history.past) == 2, "both windows' edits"
    first.release()


def test_what_was_left_behind_is_read_one_by_one_and_never_in_the_windows_thread(folder, qapp, monkeypatch):
    first, second, third = (AutosaveFolders(folder) for _ in range(3))
    for keeping, rim in ((first, 4.0), (second, 5.0), (third, 6.0)):
        kept(keeping, rim)
        if keeping is not first:
            keeping.release()
    read = []
    reading = autosave._read
    monkeypatch.setattr(
        autosave, "_read", lambda *given: read.append(threading.current_thread()) or reading(*given)
    )
    found = each_aside(first.unsaved_documents())
    assert next(found).stored.history.recipe.step("s4").parameters.rim == 4.0
    assert len(read) == 1
    assert len(list(found)) == 2
    assert len(read) == 3
    assert threading.main_thread() not in read
    first.release()


def test_one_that_cannot_be_read_does_not_end_the_recovery_of_the_others(folder):
    first, second = AutosaveFolders(folder), AutosaveFolders(folder)
    kept(first, 4.0)
    kept(second, 5.0)
    second.release()
    (first.folder / "deep.json").write_text("[" * 200_000)
    (first.folder / "nul.json").write_text('{"path": "/a\\u0000b"}')
    assert rims(first) == [4.0, 5.0]
    first.release()


def test_steady_editing_does_not_starve_the_autosave(folder, qtbot, qapp):
    document = Document(GeometrySupervisor(folder / "results"), folder / "kept")
    document.open_session(Session(History.of(load_recipe(find_recipe("starter"))), autosaves=folder / "kept"))
    assert document._autosave_due.interval() <= 10_000
    document._autosave_due.setInterval(500)
    began = time.monotonic()
    edits = 0
    while not list(folder.glob("kept/*.json")):
        edits += 1
        document.edits.edit("s4", {"rim": 3.0 + edits % 50 / 10})
        qtbot.wait(20)
        assert time.monotonic() - began < 10
    assert edits > 5
    document.close()
