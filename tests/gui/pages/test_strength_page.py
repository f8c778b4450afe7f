"""The strength page by mouse: not computed, computed, out of date, cancelled, refused; in one window."""

from dataclasses import replace

import numpy as np
import pytest

from holdwright.gui.document.hold_work import finished_step
from holdwright.gui.document.strength_work import NOT_RUN, STALE
from holdwright.gui.widgets.number_format import typeset
from holdwright.hold.finding import Finding
from holdwright.pipeline.views import strength_view
from holdwright.pipeline.views.strength_view import StrengthRequest, StrengthView
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.printing.print_parameters import PrintParameters
from holdwright.ranges import two_digits
from holdwright.resources import sample_folder
from holdwright.strength import hold_strength
from holdwright.strength.breaking_findings import breaking_findings
from whole_window import LEFT, WAIT, open_window, opened_on, window

__all__ = ["open_window", "window"]


@pytest.fixture(scope="module")
def print_rest() -> int:
    return 100


def coarse(context: WorkContext, request: StrengthRequest) -> StrengthView:
    """As the window has it done, but for two loads on cells that a test has time for, and without changes."""
    hold_strength.CANDIDATES = 2  # in the process that works for this window alone
    return strength_view.view_strength(context, replace(request, cells=7.0, changes=False))


def findings_of(window) -> list[Finding]:
    return [each for found_by, each in window.document.findings if found_by == PrintParameters.name]


def test_it_is_computed_when_asked_for_and_says_when_it_is_out_of_date(qtbot, window, monkeypatch):
    opened_on(qtbot, window, sample_folder() / "hall-crimp.obj")
    work, page, group = window.strength_work, window.strength_page, window.sidebar.to_print
    monkeypatch.setattr(work.task, "_work", coarse)
    group.fold(False)
    assert group.rows["strength"].state.result == "not yet"
    qtbot.mouseClick(group.rows["strength"], LEFT)
    assert window.left.currentWidget() is page
    assert page.sentence.text() == NOT_RUN
    assert not page.table.isVisible()
    assert "Not a test to any standard" in " ".join(
        label.text() for label in page.findChildren(type(page.where))
    )

    qtbot.mouseClick(page.run_button, LEFT)
    assert page.cancel_button.isVisible()
    assert not page.run_button.isVisible()
    qtbot.mouseClick(page.cancel_button, LEFT)
    assert page.sentence.text() == NOT_RUN, "nothing is lost, nothing is shown"

    heard: list[float] = []
    work.task.reported.connect(lambda fraction, _text: heard.append(fraction))
    qtbot.mouseClick(page.run_button, LEFT)
    qtbot.waitUntil(lambda: work.is_current, timeout=WAIT)
    result = window.document.strength
    assert np.diff(heard).min() > -0.01, "it goes on, but for what is left of the forces while solving"
    assert page.headline.isVisible()
    assert two_digits(result.worst.told.likely) in page.headline.text()
    assert page.bar.found == result.worst.told
    assert not page.run_button.isEnabled()
    assert set(breaking_findings(result)) <= set(findings_of(window))
    drawn = {name for name in window.viewport.overlay.names if name.startswith("weak/")}
    assert {"weak/volume", "weak/place-mark", "weak/load", "weak/patch"} <= drawn
    assert page.total.text() == typeset(f"Breaks near {two_digits(result.worst.told.likely)} N")
    step, _ = finished_step(window.document)
    corners = np.concatenate([solid.surface.vertices for solid in step.solids.values()])
    low, high = corners.min(axis=0) - result.cell, corners.max(axis=0) + result.cell
    assert ((result.patch.vertices >= low) & (result.patch.vertices <= high)).all()

    _goes_out_of_date(qtbot, window)


def _goes_out_of_date(qtbot, window) -> None:
    work, page, document = window.strength_work, window.strength_page, window.document
    document.edits.edit("print", {"shell_infill": 50.0})
    assert page.sentence.text() == STALE
    assert page.headline.isVisible(), "the old figures stay, fainter"
    assert not document.strength_current
    assert not any(name.startswith("weak/") for name in window.viewport.overlay.names)
    assert page.run_button.isEnabled()
    document.edits.undo()
    assert work.is_current, "what was computed is of this hold again"
    document.edits.edit("print", {"shell_infill": 5.0})
    qtbot.mouseClick(page.run_button, LEFT)
    qtbot.waitUntil(lambda: "the law holds from" in page.sentence.text(), timeout=WAIT)
    document.edits.undo()
    qtbot.mouseClick(page.back_button, LEFT)
    assert not any(name.startswith("weak/") for name in window.viewport.overlay.names)
