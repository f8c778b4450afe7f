"""Best places for the bore: looked for in a process of their own, taken with one click."""

import pytest
from PySide6.QtCore import Qt

from gui.pages.joint.answers import answer, bore_step, finish_steps, looked_over, measured, tasks
from holdwright.pipeline.views.place_view import view_places


def test_best_places_are_looked_for_elsewhere_and_taken_with_one_click(
    qtbot, page, document, runner, view, places
):
    other = looked_over(page)
    measured(document, runner, view)
    qtbot.waitUntil(lambda: bool(other.jobs))
    (sent,) = tasks(other)
    assert sent.work.work is view_places
    bore = bore_step(document)
    steps = document.recipe.steps
    requested = sent.work.requested
    assert (requested.step, requested.before) == (
        bore.id,
        steps[steps.index(bore) - 1].id,
    )
    assert requested.conditions == page.cards[0].conditions
    assert len(tasks(runner)) == 1
    answer(other, places)
    assert page.places.view is places
    assert page.places.take_buttons[0].isVisible()
    best = places.best[0]
    assert f"{best.place.x:.1f}, {best.place.y:.1f} mm" in page.places.take_buttons[0].text()
    at = page.places.map.place_of(0).toPoint()
    entries = document.undo_text
    qtbot.mouseClick(page.places.map, Qt.MouseButton.LeftButton, pos=at)
    parameters = bore_step(document).parameters
    assert parameters.place == "at"
    assert parameters.at == pytest.approx((best.place.x, best.place.y), abs=0.006)
    assert document.undo_text != entries
    document.edits.undo()
    assert bore_step(document).parameters.place == "found"


def test_another_load_looks_again_and_gives_the_former_search_up(qtbot, page, document, runner, view, places):
    other = looked_over(page)
    measured(document, runner, view)
    qtbot.waitUntil(lambda: len(tasks(other)) == 1)
    document.edits.edit("joint", {"factor": 1.0})
    assert other.stops == 1
    finish_steps(document, runner)
    qtbot.waitUntil(lambda: len(tasks(other)) == 2)
    answer(other, None, failed="The hold has no flat back.")
    assert page.places.sentence.text() == "The hold has no flat back."
    assert page.places.view is None
