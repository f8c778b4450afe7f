"""The export page: what is chosen, listed, asked and written, with a real geometry process behind it."""

import json
import os
import zipfile
from pathlib import Path

import pytest
import trimesh
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication
from PySide6.QtWidgets import QApplication

from holdwright.export.options import ExportOptions
from holdwright.gui.document import questions
from holdwright.gui.document.document import Document
from holdwright.gui.document.export_choice import Choice
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.pages.export_page import CHANGED, ExportPanel
from holdwright.gui.widgets import style
from holdwright.hold.finding import Finding
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Source
from holdwright.resources import sample_folder
from holdwright.session import Session
from mesh_files import write_obj
from quiet_runner import QuietRunner, thin_wall
from recipes import new_recipe
from shapes import block
from strength.test_strength_texts import RESULT

WAIT = 60_000
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    return tmp_path_factory.mktemp("results")


@pytest.fixture
def document(qapp, store, data_folder):
    """A document without a sculpt, and a process to work for it."""
    made = Document(GeometrySupervisor(store), data_folder)
    yield made
    made.close()


@pytest.fixture
def quiet(qapp, data_folder):
    """The starter recipe on a sculpt that nobody reads."""
    made = Document(QuietRunner(), data_folder)
    made.start_with_sculpt(sample_folder() / "hall-sloper.obj")
    yield made
    made.close()


@pytest.fixture
def shown(qtbot, settings):
    """Shows the page for a document."""

    def show(document: Document) -> ExportPanel:
        panel = ExportPanel(document, settings)
        qtbot.addWidget(panel)
        panel.resize(360, 800)
        with qtbot.waitExposed(panel):
            panel.show()
        return panel

    return show


@pytest.fixture
def box(document, tmp_path, qtbot):
    """A document of a plain box, brought to size."""
    path = write_obj(tmp_path / "box.obj", block())
    recipe = new_recipe(Source(str(path))).inserted(ScaleToEnvelope())
    with qtbot.waitSignal(document.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        document.open_session(Session(History.of(recipe)))
    return document


def write(qtbot, panel: ExportPanel) -> None:
    with qtbot.waitSignal(panel.written, timeout=WAIT):
        qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_names_follow_the_choice(qtbot, quiet, shown):
    panel = shown(quiet)
    assert panel.files.lines == (
        "hall-sloper-shell.stl",
        "hall-sloper-core.stl",
        "hall-sloper.3mf",
        "hall-sloper.report.json",
    )
    qtbot.mouseClick(panel.part_boxes["core"], LEFT, pos=panel.part_boxes["core"].rect().center() / 4)
    panel.format_boxes["3mf"].setChecked(False)
    panel.format_boxes["obj"].setChecked(True)
    assert panel.files.lines == (
        "hall-sloper-shell.stl",
        "hall-sloper-shell.obj",
        "hall-sloper.report.json",
    )


def test_a_recipe_that_does_not_split_gives_one_part(quiet, shown):
    panel = shown(quiet)
    quiet.edits.toggle_step("s7")
    assert list(panel.part_boxes) == ["whole"]
    assert panel.files.lines[0] == "hall-sloper-whole.stl"


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda panel: panel.folder_line.setText("  "), "Choose a folder."),
        (lambda panel: [box.setChecked(False) for box in panel.part_boxes.values()], "Choose a part."),
        (lambda panel: [box.setChecked(False) for box in panel.format_boxes.values()], "Choose a format."),
    ],
)
def test_what_is_missing_is_said_and_nothing_can_be_written(quiet, shown, spoil, words):
    panel = shown(quiet)
    spoil(panel)
    assert panel.export_foot.words.text() == words
    assert not panel.export_foot.buttons["write"].isEnabled()


def test_files_that_are_there_are_replaced_only_when_told(qtbot, box, shown, tmp_path):
    panel = shown(box)
    folder = tmp_path / "out"
    panel.folder_line.setText(str(folder))
    write(qtbot, panel)
    assert not panel.export_foot.buttons["write"].isVisible()
    before = {path: path.stat().st_mtime_ns for path in folder.iterdir()}
    foot = panel.export_foot
    qtbot.mouseClick(foot.buttons["again"], LEFT)
    assert (panel.state, foot.words.text()) == ("asking", "3 files exist already. Replace them?")
    qtbot.keyClick(panel.folder_line, Qt.Key.Key_Return)
    assert panel.state == "asking"
    qtbot.mouseClick(foot.buttons["cancel"], LEFT)
    assert panel.state == "choosing"
    assert {path: path.stat().st_mtime_ns for path in folder.iterdir()} == before
    qtbot.mouseClick(foot.buttons["write"], LEFT)
    with qtbot.waitSignal(panel.written, timeout=WAIT):
        qtbot.mouseClick(foot.buttons["replace"], LEFT)
    assert all(path.stat().st_mtime_ns > before[path] for path in folder.iterdir())


@pytest.mark.parametrize("place", ["file", "file/below"])
def test_a_folder_that_is_a_file_ends_in_a_sentence(qtbot, box, shown, tmp_path, place):
    (tmp_path / "file").write_text("mine")
    panel = shown(box)
    panel.folder_line.setText(str(tmp_path / place))
    qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
    qtbot.waitUntil(lambda: panel.state == "choosing", timeout=WAIT)
    assert panel.state == "choosing"
    assert "is a file and not a folder" in panel.export_foot.failure.text()
    assert (tmp_path / "file").read_text() == "mine"
    panel.folder_line.setText(str(tmp_path / "elsewhere"))
    assert panel.export_foot.failure.text() == ""
    write(qtbot, panel)


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="who runs the tests may write anywhere")
def test_a_folder_that_may_not_be_written_to_ends_in_a_sentence(qtbot, box, shown, tmp_path):
    (tmp_path / "locked").mkdir(mode=0o500)
    panel = shown(box)
    panel.folder_line.setText(str(tmp_path / "locked"))
    qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
    qtbot.waitUntil(lambda: panel.state == "choosing", timeout=WAIT)
    assert "may not be written to" in panel.export_foot.failure.text()


def test_writing_outlives_the_process_it_was_begun_in(qtbot, box, shown, tmp_path):
    """The process is ended while files are being written: told, and the next try succeeds."""
    panel = shown(box)
    panel.folder_line.setText(str(tmp_path / "out"))
    qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
    supervisor = box.supervisor
    qtbot.waitUntil(lambda: supervisor._running.number == panel._number, timeout=WAIT)
    with qtbot.waitSignal(supervisor.ended, timeout=WAIT):
        supervisor._child._process.kill()
    assert "ended unexpectedly" in panel.export_foot.failure.text()
    write(qtbot, panel)
    assert names(tmp_path / "out") == sorted(panel.files.lines[i].split()[0] for i in range(3))


def test_writing_stops_when_asked(qtbot, box, shown, tmp_path):
    panel = shown(box)
    panel.folder_line.setText(str(tmp_path / "out"))
    box.replay()  # the errand waits behind this job, so that there is time to stop it
    qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
    qtbot.mouseClick(panel.export_foot.buttons["stop"], LEFT)
    qtbot.waitUntil(lambda: not box.busy, timeout=WAIT)
    assert panel.state == "choosing"
    assert panel.export_foot.failure.text() == "Stopped; nothing was written."
    assert not (tmp_path / "out").exists()


def test_folder_and_formats_are_remembered(qtbot, box, shown, tmp_path, monkeypatch):
    monkeypatch.setattr(questions, "which_folder", lambda _parent, _start: tmp_path / "chosen")
    panel = shown(box)
    qtbot.mouseClick(panel.choose_button, LEFT)
    panel.format_boxes["3mf"].setChecked(False)
    panel.format_boxes["ply"].setChecked(True)
    write(qtbot, panel)
    again = shown(box)
    assert again.choice.folder == str(tmp_path / "chosen")
    assert again.choice.formats == ("stl", "ply")


def test_pose_designer_and_licence_go_into_the_files_and_are_remembered(qtbot, box, shown, tmp_path):
    panel = shown(box)
    fields = panel.option_fields
    assert fields.options == ExportOptions(strength=True)
    for field in (fields.bed_box, fields.tabs_box, fields.brim_box):
        qtbot.mouseClick(field, LEFT, pos=field.rect().center() / 4)
    qtbot.keyClicks(fields.designer_line, "A. Maker")
    qtbot.keyClicks(fields.licence_line, "CC0")
    panel.folder_line.setText(str(tmp_path / "out"))
    write(qtbot, panel)
    assert "box-tab-1.stl" in names(tmp_path / "out")
    report = json.loads((tmp_path / "out" / "box.report.json").read_text("utf-8"))
    assert report["pose"]["name"] == "wall"
    with zipfile.ZipFile(tmp_path / "out" / "box.3mf") as package:
        model = package.read("3D/3dmodel.model").decode()
    assert '<metadata name="Designer">A. Maker</metadata>' in model
    assert '<metadata name="LicenseTerms">CC0</metadata>' in model
    chosen = ExportOptions("wall", True, "A. Maker", "CC0", brim=5.0, strength=True)
    assert shown(box).option_fields.options == chosen
    assert "box-brim.stl" in names(tmp_path / "out")


def test_the_strength_is_written_where_it_is_computed_and_wanted(qtbot, quiet, shown):
    panel = shown(quiet)
    box = panel.option_fields.strength_box
    assert not box.isEnabled()
    assert box.text() == "Strength, once it is computed"
    quiet.take_strength(RESULT, current=True)
    assert box.isEnabled()
    assert panel._request().strength is RESULT
    qtbot.mouseClick(box, LEFT, pos=box.rect().center() / 4)
    assert panel._request().strength is None
    panel._remembered.keep(panel.choice, None)
    assert not panel._remembered.options.strength
    quiet.take_strength(RESULT, current=False)
    assert not box.isEnabled()
    assert panel._request().strength is None, "of the hold before a change"


def test_the_folder_is_shown_when_asked_for(qtbot, box, shown, tmp_path, monkeypatch):
    met = []
    monkeypatch.setattr(questions, "show_folder", met.append)
    panel = shown(box)
    panel.folder_line.setText(str(tmp_path / "out"))
    write(qtbot, panel)
    qtbot.mouseClick(panel.export_foot.buttons["folder"], LEFT)
    assert met == [tmp_path / "out"]
    assert "no window" in panel.export_foot.words.text(), "where there is no file manager"
    qtbot.mouseClick(panel.export_foot.buttons["copy"], LEFT)
    assert QGuiApplication.clipboard().text() == str(tmp_path / "out")


def test_findings_are_counted_and_do_not_stop_the_writing(quiet, shown):
    panel = shown(quiet)
    quiet.supervisor.give(quiet, "s6", findings=(thin_wall("error"), thin_wall(), thin_wall()))
    assert "1 error and 2 warnings. The files can be written" in panel._standing.text()
    assert panel.export_foot.buttons["write"].isEnabled()
    quiet.edits.edit("s4", {"rim": 5.0})
    assert "1 error and 2 warnings" in panel._standing.text(), "they stand until newer are there"
    quiet.supervisor.give(quiet, "s6", findings=(thin_wall(),))
    assert "1 warning. The files can be written" in panel._standing.text()
    quiet.replay()
    quiet.supervisor.give(quiet, "s6", findings=(Finding("far", "note", "It is far."),))
    assert panel._standing.text() == "The print is not checked as it is now."
    quiet.take_print((thin_wall(),), current=True)
    assert "1 warning. The files can be written" in panel._standing.text()
    quiet.take_print((), current=True)
    assert not panel._standing.isVisible()


def test_files_written_behind_another_page_are_listed_and_said_to_be_old_once_the_sculpt_is_another(
    qtbot, box, shown, tmp_path
):
    panel = shown(box)
    panel.folder_line.setText(str(tmp_path / "out"))
    with qtbot.waitSignal(panel.written, timeout=WAIT):
        qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
        panel.hide()
    panel.show()
    assert panel.state == "written"
    assert panel._changed.text() == ""
    panel.hide()
    write_obj(tmp_path / "box.obj", block(90.0, 60.0, 41.0))
    panel.show()
    assert panel.state == "choosing", "seen once, it begins anew"
    write_again = panel.export_foot.buttons["write"]
    qtbot.mouseClick(write_again, LEFT)
    with qtbot.waitSignal(panel.written, timeout=WAIT):
        qtbot.mouseClick(panel.export_foot.buttons["replace"], LEFT)
    assert panel._changed.text() == "", "the files are of the sculpt as it is now"
    # The foot had the keyboard; typed is all the same where the click was.
    panel.activateWindow()
    qtbot.waitUntil(panel.isActiveWindow)
    qtbot.mouseClick(panel.folder_line, LEFT)
    panel.folder_line.selectAll()
    for letter in "/proc/no":
        focus = QApplication.focusWidget()
        assert focus is panel.folder_line
        qtbot.keyClick(focus, letter)
    assert panel.folder_line.text() == "/proc/no"
    panel.folder_line.setText(str(tmp_path / "out"))
    qtbot.mouseClick(write_again, LEFT)
    with qtbot.waitSignal(panel.written, timeout=WAIT):
        qtbot.mouseClick(panel.export_foot.buttons["replace"], LEFT)
        assert panel.folder_line.isReadOnly()
        assert panel.folder_line.palette().text().color() == QColor(style.LIGHT.faint)
    assert not panel.folder_line.isReadOnly()
    assert panel.folder_line.palette().text().color() == QColor(style.LIGHT.ink)
    write_obj(tmp_path / "box.obj", block(90.0, 60.0, 42.0))
    with qtbot.waitSignal(box.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        box.replay()
    assert panel._changed.text() == CHANGED


def test_shrinkage_is_said(qtbot, box, shown, tmp_path):
    panel = shown(box)
    assert panel._unit.text() == "In millimetres."
    with qtbot.waitSignal(box.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        box.edits.edit("s2", {"shrinkage_percent": 2.0})
    assert panel._unit.text() == "In millimetres, with 2 % shrinkage (factor 1.02041)."
    panel.folder_line.setText(str(tmp_path / "out"))
    write(qtbot, panel)
    report = json.loads((tmp_path / "out" / "box.report.json").read_text("utf-8"))
    mesh = trimesh.load_mesh(tmp_path / "out" / "box-whole.stl")
    assert mesh.volume == pytest.approx(report["solids"]["whole"]["volume_mm3"] / 0.98**3, rel=1e-5)


def test_escape_and_back_put_the_page_away(qtbot, quiet, shown):
    panel = shown(quiet)
    with qtbot.waitSignal(panel.closed):
        qtbot.keyClick(panel.folder_line, Qt.Key.Key_Escape)
    with qtbot.waitSignal(panel.closed):
        qtbot.mouseClick(panel.back_button, LEFT)


def test_everything_can_be_reached_by_key_and_has_a_name(qtbot, quiet, shown):
    panel = shown(quiet)
    panel.activateWindow()
    qtbot.waitUntil(panel.isActiveWindow)
    panel.back_button.setFocus()
    met = []
    for _ in range(20):
        met.append(panel.focusWidget())
        qtbot.keyClick(panel.focusWidget(), Qt.Key.Key_Tab)
    wanted = [
        panel.back_button,
        *panel.part_boxes.values(),
        *panel.format_boxes.values(),
        panel.folder_line,
        panel.choose_button,
        panel.export_foot.buttons["write"],
    ]
    assert all(widget in met for widget in wanted)
    assert all(widget.accessibleName() or widget.text() for widget in wanted)


def test_open_files_are_not_written_over(tmp_path):
    sculpt, recipe = tmp_path / "jug.3mf", tmp_path / "jug.report.json"
    sculpt.write_bytes(b"sculpt")
    read = (sculpt, recipe)
    chosen = Choice("jug", ("shell",), ("3mf",), str(tmp_path), read)
    assert chosen.missing == (
        "jug.3mf there is the sculpt itself: choose another folder, or leave that format out."
    )
    assert not Choice("jug", ("shell",), ("stl",), str(tmp_path), read).missing
    assert not Choice("jug", ("shell",), ("3mf",), str(tmp_path / "out"), read).missing
    recipe.write_bytes(b"recipe")
    assert (
        "jug.report.json there is open now"
        in Choice("jug", ("shell",), ("stl",), str(tmp_path), read).missing
    )
