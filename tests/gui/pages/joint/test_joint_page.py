"""The joint card's page: measured once, reckoned at once, put into the recipe; by key in a real window."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel

from gui.pages.joint.answers import (
    CATALOGUE,
    SCREW,
    WASHER,
    answer,
    bore_step,
    finish_steps,
    line,
    measured,
    tasks,
)
from holdwright.files.reading import read_sculpt
from holdwright.gui.pages.joint.figure_texts import card_lines
from holdwright.gui.pages.joint_page import STOPPED
from holdwright.gui.widgets.fold import Fold
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.advice.holding_findings import verdict
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from holdwright.joint.joint_parameters import JointParameters
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.replaying.replay import replay
from holdwright.pipeline.views.joint_view import JointRequest, view_joint
from holdwright.resources import sample_folder
from whole_window import WAIT, open_window, opened_on, settled, window

__all__ = ["open_window", "window"]
LEFT = Qt.MouseButton.LeftButton


def test_the_hold_is_measured_once_and_reckoned_as_without_a_window(page, document, runner, view):
    assert "once the hold is finished" in page.sentence.text()
    finish_steps(document, runner)
    (sent,) = tasks(runner)
    last = document.recipe.steps[-1].id
    assert (sent.work.work, sent.work.requested) == (view_joint, JointRequest(last, document.step(last).key))
    assert page.sentence.text() == "Measuring the joint."
    answer(runner, view)
    assert page.cards == joint_cards(view.shape, conditions(CATALOGUE), CATALOGUE)
    assert line(page, "Seat pressure").text == f"{page.cards[0].seat_pressure.range.in_words} MPa"
    assert "Shigley" in line(page, "Bolt tension").source
    page.hide()
    page.show()
    assert len(tasks(runner)) == 1


def test_figures_typed_change_card_and_recipe_at_once(qtbot, page, document, runner, view):
    measured(document, runner, view)
    measurements = len(tasks(runner))
    qtbot.mouseClick(page.judged_for.button, LEFT)
    box = page.judged_for.form.fields["torque"].editor.keyboard_widget()
    box.setFocus()
    for typed in ("24", "24 N m", "24 x"):
        box.selectAll()
        qtbot.keyClicks(box, typed)
        qtbot.keyClick(box, Qt.Key.Key_Return)
        assert page.cards[0].conditions.torque == document.recipe.joint.torque == 24.0
    assert "24 N" in page.judged_for.button.text()
    pressure = line(page, "Seat pressure")
    assert not pressure.within_limit
    assert "seat_overloaded" in {finding.code for finding in page.findings}
    document.edits.edit("joint", {"material": "PC", "torque": 12.0})
    assert line(page, "Seat pressure").limit != pressure.limit
    assert len(tasks(runner)) == measurements
    document.edits.undo()
    document.edits.undo()
    assert page.cards[0].conditions.torque == 12.0
    assert document.recipe.joint == JointParameters()


def test_the_verdict_stands_above_all_else(page, document, runner, view):
    measured(document, runner, view)
    (shown,) = (page._verdict_column.itemAt(place).widget() for place in range(page._verdict_column.count()))
    assert shown.text().startswith(page.findings[0].message[:20])
    assert page.findings[0] == verdict(joint_findings(page.cards))
    assert [each.line.name for each in page.first.lines] == [
        "Against turning",
        "Until it overturns",
        "Seat pressure",
    ]


def test_what_keeps_it_from_turning_is_added_with_one_click(qtbot, page, document, runner, view):
    measured(document, runner, view)
    relieve, screw = page.remedies.relieve_button, page.remedies.screw_button
    (after,) = joint_cards(view.relieved, conditions(CATALOGUE), CATALOGUE)
    before = page.cards[0].spin.value
    assert relieve.text() == f"Relieving the back: {before:.2g} to {after.spin.value:.2g}"
    assert relieve.isVisible()
    assert screw.isVisible()
    for button, operation in ((relieve, "relieve_back"), (screw, "cut_screw_hole")):
        qtbot.mouseClick(button, LEFT)
        assert operation in {step.operation for step in document.recipe.steps}
        document.edits.undo()
        measured(document, runner, view)
        assert operation not in {step.operation for step in document.recipe.steps}
    document.edits.edit("joint", {"mass": 5.0, "factor": 1.0})
    assert page.findings[0].code == "holds_by_friction"
    assert not relieve.isVisible()
    assert not screw.isVisible()


def test_what_the_tables_do_not_have_is_said(page, document, runner, view):
    measured(document, runner, view)
    document.edits.edit("joint", {"friction": "ice"})
    assert "friction 'ice' was requested" in page.sentence.text()
    assert page.cards == ()
    document.edits.undo()
    assert page.cards


def test_another_washer_is_tried_and_then_put_into_the_recipe(qtbot, page, document, runner, view):
    measured(document, runner, view)
    before, jobs = page.cards[0].seat_pressure.value, len(runner.jobs)
    assert not page.judged_for.put_button.isEnabled()
    page.hardware.editors["washer"].requested.emit(None)
    assert page.cards[0].seat_pressure.value > 2.0 * before
    assert page.sentence.text().startswith("Tried: M10 socket cap ISO 4762, no washer.")
    page.hide()
    page.show()
    assert page.cards[0].seat_pressure.value == before, "left, the trial has ended"
    assert page.sentence.text() == ""
    assert (len(runner.jobs), bore_step(document).parameters.washer) == (jobs, WASHER)
    page.hardware.editors["washer"].requested.emit("M10 extra large washer ISO 7094")
    assert "washer_wider_than_pocket" in {finding.code for finding in page.findings}
    qtbot.mouseClick(page.judged_for.put_button, LEFT)
    assert bore_step(document).parameters.washer == "M10 extra large washer ISO 7094"
    assert not page.judged_for.put_button.isEnabled()
    assert "once the hold is finished" in page.sentence.text()
    finish_steps(document, runner)
    assert len(tasks(runner)) == 2
    document.edits.undo()
    assert page.hardware.hardware[1].name == WASHER


def test_a_screw_of_another_thread_brings_its_washer(page, document, runner, view):
    measured(document, runner, view)
    page.hardware.editors["screw"].requested.emit("M8 socket cap ISO 4762")
    assert [row.name for row in page.hardware.hardware] == [
        "M8 socket cap ISO 4762",
        "M8 large washer ISO 7093",
    ]
    assert page.cards[0].hardware.screw.d == 8.0


def test_what_does_not_fit_is_a_sentence_in_place_of_figures(page, document, runner, view):
    measured(document, runner, view)
    page.hardware.editors["screw"].requested.emit("M10 countersunk socket ISO 10642")
    assert "needs a cone of 90 degrees" in page.sentence.text()
    assert page.cards == ()
    assert not page.figures.isVisible()
    assert page.judged_for.put_button.isEnabled()
    page.hardware.editors["screw"].requested.emit(SCREW)
    assert page.figures.isVisible()


def test_why_there_is_nothing_to_reckon_is_said(page, document, runner):
    finish_steps(document, runner, failed="The core does not fit.")
    assert page.sentence.text() == "The hold is not finished: The core does not fit."
    document.edits.toggle_step(bore_step(document).id)
    assert "no hole for a bolt" in page.sentence.text()


def test_a_failure_to_measure_is_said_and_not_tried_again(page, document, runner):
    finish_steps(document, runner)
    answer(runner, None, failed="The hold has no flat back.")
    assert page.sentence.text() == "The hold has no flat back."
    document.edits.edit("joint", {"torque": 10.0})
    assert (page.sentence.text(), len(tasks(runner))) == ("The hold has no flat back.", 1)
    page.hide()
    page.show()
    assert (page.sentence.text(), len(tasks(runner))) == ("Measuring the joint.", 2)


def test_stopped_it_stays_until_it_is_opened_again(page, document, runner, view):
    finish_steps(document, runner)
    runner.ended.emit(tasks(runner)[-1].number, None, "", True)
    runner.busy_changed.emit(False)
    assert (page.sentence.text(), len(tasks(runner))) == (STOPPED, 1)
    page.hide()
    page.show()
    answer(runner, view)
    assert page.cards


def test_a_finding_leads_to_the_step_that_bored(qtbot, page, document, runner, view):
    measured(document, runner, view)
    with qtbot.waitSignal(page.finding_chosen) as chosen:
        qtbot.mouseClick(page._finding_column.itemAt(0).widget(), LEFT)
    assert chosen.args[0] == bore_step(document).id


def test_cautions_stand_there_whatever_is_shown(qtbot, page, document, runner, view):
    (fold,) = (each for each in page.findChildren(Fold) if "not a test" in each.button.text())
    assert fold.isVisible()
    measured(document, runner, view)
    assert fold.isVisible()
    qtbot.mouseClick(fold.button, LEFT)
    assert any("EN 12572-3" in each.text() for each in page.findChildren(QLabel) if each.isVisible())


def test_by_key_in_the_window_as_a_replay_without_one(qtbot, window):
    opened_on(qtbot, window, sample_folder() / "hall-sloper.obj")
    settled(qtbot, window)
    qtbot.keyClick(window, Qt.Key.Key_J, Qt.KeyboardModifier.ControlModifier)
    page = window.joint_page
    assert window.left.currentWidget() is page
    qtbot.waitUntil(lambda: bool(page.cards), timeout=WAIT)
    sculpt = read_sculpt(sample_folder() / "hall-sloper.obj")
    hold = replay(load_recipe(find_recipe("starter")), sculpt, catalogue=CATALOGUE).hold
    window.document.edits.edit("joint", {"torque": 9.0, "overhang": 20.0})
    wanted = replace(conditions(CATALOGUE), torque=9.0, overhang=20.0)
    (bare,) = joint_cards(joint_shape(hold), wanted, CATALOGUE)
    (shown,) = page.cards
    for name in ("spin", "slip", "lift", "overturning", "seat_pressure", "bolt_tension", "friction_radius"):
        assert getattr(shown, name).value == pytest.approx(getattr(bare, name).value, rel=1e-4)
    assert shown.bolt_name == bare.bolt_name
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert window.left.currentWidget() is window.sidebar


def test_lengths_are_in_inches_for_those_who_prefer_them(page, document, runner, view):
    measured(document, runner, view)
    before = {each.line.name: each.line for each in page.figures.lines}
    page.set_unit("inch")
    assert "in inches" in page.sections.words.text()
    assert "in²" in page.back.base.words
    after = {each.line.name: each.line for each in page.figures.lines}
    radius = float(before["Friction radius"].text.removesuffix(" mm"))
    assert float(after["Friction radius"].text.removesuffix(" in")) == pytest.approx(radius / 25.4, abs=0.01)
    bolt = next(name for name in before if name.lower().endswith("bolt"))
    assert after[bolt].text == before[bolt].text, "it is bought by its name"
    assert " mm of thread" not in after[bolt].limit
    page.set_unit("mm")
    assert {each.line.name: each.line for each in page.figures.lines} == before


def test_only_what_decides_has_a_flag(view):
    # Slipping and lifting are worth knowing; what turns the hold over or off its screws decides.
    cards = joint_cards(view.shape, conditions(CATALOGUE), CATALOGUE)
    lines = {line.name: line for line in card_lines(cards)}
    assert not lines["Until an edge lifts"].within_limit
    assert not lines["Until an edge lifts"].decides
    assert lines["Against turning"].decides
    assert lines["Until it overturns"].decides
