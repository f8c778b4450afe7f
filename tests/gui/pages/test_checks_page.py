"""The checks of the print in the whole window: told in the one list, shown on the hold, counted for export.

Figures are those of the same checks and estimates made without a window.
"""

import re

import numpy as np
import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.files.reading import read_sculpt
from holdwright.gui.document.hold_work import NO_HOLD
from holdwright.gui.sidebar.finding_line import OF_PRINT, FindingLine
from holdwright.gui.widgets.number_format import counted
from holdwright.pipeline.replaying.replay import replay
from holdwright.printing.allowances import hold_allowances, in_print_size
from holdwright.printing.part_estimates import all_settings, part_estimates
from holdwright.resources import sample_folder
from whole_window import LEFT, WAIT, open_window, opened_on, window

__all__ = ["open_window", "window"]

SCULPT = sample_folder() / "hall-crimp.obj"


@pytest.fixture(scope="module")
def print_rest() -> int:
    """Here it is waited for."""
    return 100


@pytest.fixture
def checked(qtbot, window):
    """A window on a sample, checked and estimated."""
    window.sidebar.to_print.page_requested.emit("checks")
    assert window.checks_page.sentence.text() == NO_HOLD
    window.show_left(window.sidebar)
    opened_on(qtbot, window, SCULPT)
    window.document.edits.edit("print", {"wall_lines": 12})  # more than the sample has
    qtbot.waitUntil(lambda: window.check_work.is_current and window.print_work.is_current, timeout=WAIT)
    return window


def test_what_the_checks_find_is_told_shown_and_counted(qtbot, checked):
    document, recipe = checked.document, checked.document.recipe
    catalogue = load_catalogue()
    bare = replay(recipe, read_sculpt(SCULPT), catalogue=catalogue, check_print=True)
    serious = [each for each in bare.findings if each.severity != "note"]
    assert sorted(each.message for _, each in document.findings) == sorted(
        each.message for each in bare.findings
    )
    warnings = counted(len(serious), "warning")
    assert checked.sidebar.findings.headline.text() == warnings
    rows = checked.sidebar.to_print.rows
    assert list(rows) == ["settings", "checks", "strength", "layers", "estimate", "export"]
    of_print = [each for each in bare.print.findings if each.severity != "note"]
    assert rows["checks"].state.flags == len(of_print) > 0
    checked.actions_table["export"].trigger()
    assert checked.export_page._standing.text().startswith(f"{warnings}. The files can be written")

    hold = bare.hold
    parts = in_print_size(hold.solids, hold_allowances(hold, recipe.print, catalogue))
    estimates = part_estimates(parts, all_settings(parts, recipe.print, catalogue))
    written = ", ".join(checked.measure_bar.facts)
    shell, core, both = (int(each) for each in re.findall(r"(\d+) g", written))
    likely = [estimates[part].mass.likely for part in ("shell", "core")]
    assert shell + core == both == pytest.approx(sum(likely), abs=0.51), "parts as written add up"
    assert [shell, core] == pytest.approx(likely, abs=1.0)
    assert "solid" not in written

    checked.show_left(checked.sidebar)
    checked.sidebar.findings.reshape(False, 80)
    lines = [each for each in checked.sidebar.findings.findChildren(FindingLine) if each._number == OF_PRINT]
    document.edits.select("s3")
    placed = next(each for each in of_print if each.where is not None)
    checked.sidebar.findings.chosen.emit(OF_PRINT, placed)
    assert lines
    assert document.selected == ""
    flags = checked.viewport._flags
    assert flags.markers[flags._told].message == placed.message


def test_a_click_colours_the_hold_and_another_ends_it(qtbot, checked):
    viewport, page = checked.viewport, checked.checks_page
    checked.sidebar.to_print.page_requested.emit("checks")
    before, pose = checked.view_bar.parts, viewport.pose
    for code in ("thin_wall", "core_near_grip"):
        line = page.lines[code]
        qtbot.mouseClick(line, LEFT)
        qtbot.waitUntil(lambda: viewport.scene.heat is not None, timeout=WAIT)
        assert viewport.scene.heat.title == line.row.title
        assert viewport.scene.heat.limit == pytest.approx(line.row.limit)
        assert np.isfinite(viewport.scene.heat.values).all()
        qtbot.mouseClick(line, LEFT)
        assert viewport.scene.heat is None
        assert checked.view_bar.parts == before
    qtbot.mouseClick(page.lines["thin_wall"], LEFT)
    assert viewport.scene.heat is not None
    assert not viewport.pose.looks_like(pose), "it has turned to the place"
    checked.show_left(checked.sidebar)
    assert viewport.scene.heat is None
    assert viewport.pose.looks_like(pose)
    checked.document.edits.edit("print", {"wall_lines": 1})
    qtbot.waitUntil(lambda: not checked.check_work.is_current)
    qtbot.waitUntil(lambda: checked.check_work.is_current, timeout=WAIT)
    row = next(each for each in checked.check_work.view.verdict.rows if each.code == "thin_wall")
    assert row.limit == 1.0


def test_a_check_s_proposal_is_taken_by_a_click_and_undone(qtbot, checked):
    page, document = checked.checks_page, checked.document
    checked.sidebar.to_print.page_requested.emit("checks")
    assert not page.offers
    document.edits.edit("print", {"shell_material": "PA12"})
    qtbot.waitUntil(lambda: "corner_lift" in page.offers, timeout=WAIT)
    assert page.offers["corner_lift"].isVisible()
    stock = page.lines["corner_lift"].row.proposal.value
    assert page.offers["corner_lift"].text() == f"Leave {stock:g} mm for sanding"
    qtbot.mouseClick(page.offers["corner_lift"], LEFT)
    trim = next(step for step in document.recipe.steps if step.operation == "trim_base")
    assert trim.parameters.allowance == stock > 0.0
    qtbot.waitUntil(lambda: checked.check_work.is_current and not page.offers, timeout=WAIT)
    document.edits.undo()
    assert document.recipe.step(trim.id).parameters.allowance == 0.0
