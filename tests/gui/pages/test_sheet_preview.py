"""The work sheet on the export page: chosen, remembered, and shown before it is written."""

import pytest
from PySide6.QtCore import Qt

from holdwright.gui.document.document import Document
from holdwright.gui.document.export_choice import ExportSettings
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.pages.export.sheet_preview import SheetPreview
from holdwright.gui.pages.export_page import ExportPanel
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Source
from holdwright.session import Session
from holdwright.sheet.choice import SheetChoice
from mesh_files import write_obj
from quiet_runner import QuietRunner
from recipes import new_recipe
from shapes import block

WAIT = 60_000
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(params=["open", "never scaled"])
def box(request, qapp, tmp_path, data_folder, qtbot):
    """A document of a plain box, brought to size or not, and a process to work for it."""
    document = Document(GeometrySupervisor(tmp_path / "results"), data_folder)
    recipe = new_recipe(Source(str(write_obj(tmp_path / "box.obj", block()))))
    recipe = recipe.inserted(ScaleToEnvelope()) if request.param == "open" else recipe
    with qtbot.waitSignal(document.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        document.open_session(Session(History.of(recipe)))
    yield document, request.param == "open"
    document.close()


def shown(qtbot, document, settings):
    panel = ExportPanel(document, settings)
    qtbot.addWidget(panel)
    panel.resize(420, 800)
    with qtbot.waitExposed(panel):
        panel.show()
    return panel


def test_the_preview_shows_the_pages_or_says_why_not(qtbot, box, settings):
    document, works = box
    panel = shown(qtbot, document, settings)
    fields = panel.option_fields.sheet_fields
    qtbot.mouseClick(fields.preview_button, LEFT)
    (preview,) = panel.findChildren(SheetPreview)
    assert preview.isVisible()
    qtbot.waitUntil(lambda: bool(preview.pages) or "no true size" in preview.sentence.text(), timeout=WAIT)
    assert len(preview.pages) == (2 if works else 0)
    for page in preview.pages:
        assert page.heightForWidth(2100) == pytest.approx(2970, abs=3)  # A4, ISO 216
    qtbot.keyClick(preview, Qt.Key.Key_Escape)
    assert not preview.isVisible()
    assert panel.isVisible()


def test_a_chosen_sheet_is_among_the_files_and_remembered(qtbot, qapp, settings, data_folder, tmp_path):
    document = Document(QuietRunner(), data_folder)
    document.start_with_sculpt(write_obj(tmp_path / "box.obj", block()))
    panel = shown(qtbot, document, settings)
    fields = panel.option_fields.sheet_fields
    assert fields.choice is panel.choice.options.sheet is None
    assert "box.sheet.pdf" not in panel.files.lines
    fields.box.setChecked(True)
    assert "box.sheet.pdf" in panel.files.lines
    qtbot.mouseClick(fields.paper_words["letter"], LEFT)
    qtbot.mouseClick(fields.kind_words["html"], LEFT)
    assert "box.sheet.html" in panel.files.lines
    assert panel.choice.options.sheet == SheetChoice("letter", "html")
    ExportSettings(settings).keep(panel.choice, None)
    again = shown(qtbot, document, settings).option_fields.sheet_fields
    assert again.choice == SheetChoice("letter", "html")
    document.close()
