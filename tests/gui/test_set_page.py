"""A set in the window: opened, finished, stopped and gone on with, a hold of it opened, all in one window."""

import json
from pathlib import Path

import pytest
import trimesh
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

import shapes
from holdwright.gui.document.drops import json_kind
from holdwright.pipeline.recipes.recipe_file import save_recipe
from recipes import plain_starter
from whole_window import LEFT, WAIT, answering, drop, open_window, window

__all__ = ["open_window", "window"]

HOLDS = [
    {"sculpt": "puck.stl", "recipe": "plain.json", "count": 3, "mirror": True, "size": 90},
    {"sculpt": "nowhere.obj", "recipe": "plain.json", "name": "gone"},
]


@pytest.fixture
def set_file(tmp_path) -> Path:
    """A set of two, one of whose sculpts is missing."""
    solid = shapes.frustum(60.0, 52.0, 40.0)
    trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(tmp_path / "puck.stl")
    save_recipe(plain_starter(), tmp_path / "plain.json")
    path = tmp_path / "north.set.json"
    path.write_text(json.dumps({"format": 1, "name": "North", "holds": HOLDS}), "utf-8")
    return path


def statuses(window) -> list[str]:
    return [row.status for row in window.whole_pages.set_work.rows]


def test_a_set_is_finished_stopped_and_gone_on_with(qtbot, window, set_file):
    pages, work = window.whole_pages, window.whole_pages.set_work
    page = pages.set_page
    _bad_sets(qtbot, window, set_file.parent)
    drop(window, set_file)
    qtbot.waitUntil(lambda: statuses(window) == ["waiting", "failed"], timeout=WAIT)
    assert page.isVisible()
    assert window.windowTitle() == "North"
    assert window.recents.paths[0] == set_file
    assert "nowhere.obj cannot be read" in work.rows[1].made.message
    assert not window.actions_table["export"].isEnabled()

    qtbot.mouseClick(page.run_button, LEFT)
    qtbot.waitUntil(lambda: "working" in statuses(window), timeout=WAIT)
    with answering("Cancel") as asked:
        assert not window.close()
    assert "North is still being finished" in asked[0]
    pages.open_set(set_file)
    assert "stop that first" in window.trouble.words
    qtbot.mouseClick(page.stop_button, LEFT)
    qtbot.waitUntil(lambda: not work.busy, timeout=WAIT)
    assert "working" not in statuses(window)
    assert "waiting" in statuses(window)
    assert work.report is None

    qtbot.mouseClick(page.run_button, LEFT)
    qtbot.mouseClick(page.back_button, LEFT)
    assert window.top_bar.doing.whole == "North: 0 of 2 kinds of hold"
    qtbot.waitUntil(lambda: not work.busy, timeout=WAIT)
    assert window.top_bar.doing.whole == ""
    assert window.trouble.words == "North is finished: 1 of 2 kinds of hold, 1 failed."
    pages.show(page)
    assert window.trouble.words == ""
    assert statuses(window) == ["finished", "failed"]
    assert page.trouble == ""
    assert page.list.rows.picture(work.rows[0]).width() > 100
    plates = len(work.report["plates"])
    qtbot.waitUntil(lambda: sum("plate-" in line for line in page.summary.lines) == plates, timeout=WAIT)
    assert "Finished: 3 holds" in page.summary.lines
    assert "M10 large washer ISO 7093: 3" in page.summary.lines
    page.list.choose(1)
    assert page.details.words == [f"error: {work.rows[1].made.message}"]

    _opens_a_hold(qtbot, window)
    work.use_folder(work.out)
    qtbot.waitUntil(lambda: statuses(window) == ["unchanged", "failed"], timeout=WAIT)
    qtbot.waitUntil(lambda: work.report is not None, timeout=WAIT)
    assert page.run_button.text() == "Finish the rest"
    # A second look finds all of it there, and a hold whose file was changed is made again.
    name = work.rows[0].hold.name
    (work.out / name / f"{name}-core.stl").write_bytes(b"")
    work.open(set_file)
    qtbot.waitUntil(lambda: statuses(window) == ["waiting", "failed"], timeout=WAIT)
    assert page.run_button.text() == "Finish the set"


def _bad_sets(qtbot, window, folder: Path) -> None:
    """Files that are no sets end in a sentence, and the window stays as it was."""
    for name, content, said in (
        ("a.set.json", "{", "is not JSON"),
        ("b.json", '{"holds": []}', "lists no holds"),
        ("c.set.json", '{"format": 1, "holds": [{"sculpt": "a.obj", "colour": 3}]}', "holds[0].colour"),
    ):
        (folder / name).write_text(content, "utf-8")
        assert json_kind(folder / name) == "set"
        drop(window, folder / name)
        qtbot.waitUntil(lambda said=said: said in window.welcome_notice.words, timeout=WAIT)
        assert window.whole_pages.set_work.path is None


def _opens_a_hold(qtbot, window) -> None:
    page = window.whole_pages.set_page
    page.list.choose(0)
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    assert not page.isVisible()
    assert window.document.sculpt_path.name == "puck.stl"
    scale = next(step for step in window.document.recipe.steps if step.operation == "scale_to_envelope")
    assert scale.parameters.diameter == 90.0
    qtbot.mouseClick(window.top_bar.set_button, LEFT)
    QApplication.processEvents()
    assert page.isVisible()
    qtbot.keyClick(page.list, Qt.Key.Key_Escape)
    assert not page.isVisible()
    window.show_over(page)
