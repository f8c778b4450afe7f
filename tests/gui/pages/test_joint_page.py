"""The joint card's page: measured once, reckoned at once, put into the recipe; by key in a real window."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QLabel

import shapes
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.files.reading import read_sculpt
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.gui.pages.joint.base_drawing import BackView
from holdwright.gui.pages.joint.drawing_scale import HEIGHT, Plan
from holdwright.gui.pages.joint.figure_texts import card_lines
from holdwright.gui.pages.joint_page import STOPPED, JointPage
from holdwright.gui.widgets import style
from holdwright.gui.widgets.fold import Fold
from holdwright.hold.feature import Bore, Rim
from holdwright.hold.hold import Hold
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.advice.holding_findings import verdict
from holdwright.joint.advice.json_values import plain_joint
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from holdwright.joint.joint_parameters import JointParameters
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.replaying.replay import replay
from holdwright.pipeline.views.joint_view import JointRequest, joint_view, view_joint
from holdwright.pipeline.views.place_view import places_of, view_places
from holdwright.resources import sample_folder
from quiet_runner import QuietRunner, document, runner
from whole_window import WAIT, open_window, opened_on, settled, window

__all__ = ["document", "open_window", "runner", "window"]

CATALOGUE = load_catalogue()
LEFT = Qt.MouseButton.LeftButton
SCREW, WASHER = "M10 socket cap ISO 4762", "M10 large washer ISO 7093"


@pytest.fixture(scope="module")
def view():
    """The joint of a plain block, 120 by 100 by 40 mm."""
    solid = cut_hole(shapes.block(120.0, 100.0, 40.0), Hole(0.0, 0.0, 25.0, 11.0, 31.0, 30.0)).solid
    bore = Bore(0.0, 0.0, (0.0, 0.0, 1.0), 11.0, 31.0, 25.0, 25.0, SCREW, WASHER)
    return joint_view(Hold().with_whole(solid, Rim(2.0, 0.0, 0.0, 1.0, 1, 1), bore))


@pytest.fixture(scope="module")
def places():
    """Best places of the same block, and its bore as it is."""
    hold = Hold().with_whole(shapes.block(120.0, 100.0, 40.0), Rim(2.0, 0.0, 0.0, 1.0, 1, 1))
    parameters = CutBoreParameters(screw=SCREW, washer=WASHER)
    return places_of(hold, parameters, conditions(CATALOGUE), CATALOGUE, (20.0, 10.0))


@pytest.fixture
def page(qtbot, document):
    made = JointPage(document, CATALOGUE)
    qtbot.addWidget(made)
    made.resize(340, 1500)
    with qtbot.waitExposed(made):
        made.show()
    return made


def test_the_drawing_lifts_where_the_card_does(qtbot, view):
    # Both are reckoned on a panel that gives, held by its T-nut.
    cards = joint_cards(view.shape, conditions(CATALOGUE), CATALOGUE)
    back = BackView()
    qtbot.addWidget(back)
    back.show_joint(view, cards, "mm")
    assert back.base._lifting.safety == pytest.approx(cards[0].lift.value)
    told = plain_joint(view.shape, cards)["contact"]["pressed_share"]
    assert told == pytest.approx(back.base._shape.contact.pressure.share, rel=1e-5)


def finish_steps(document, runner, **last):
    """Answer the latest job with all steps done."""
    steps, job = document.recipe.steps, len(runner.jobs)
    for step in steps:
        runner.give(document, step.id, **(last if step == steps[-1] else {}))
    runner.ended.emit(job, None, "", False)
    runner.working = False
    runner.busy_changed.emit(False)


def tasks(runner):
    return [job for job in runner.jobs if not job.work.latest_only]


def answer(runner, what, failed=""):
    number = tasks(runner)[-1].number
    runner.ended.emit(number, what, failed, False)


def measured(document, runner, view):
    finish_steps(document, runner)
    answer(runner, view)


def bore_step(document):
    return next(step for step in document.recipe.steps if step.operation == "cut_bore")


def line(page, name):
    return next(each.line for each in (*page.first.lines, *page.figures.lines) if each.line.name == name)


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


def test_drawings_are_to_scale(qtbot, page, document, runner, view):
    measured(document, runner, view)
    qtbot.waitUntil(lambda: page.sections.drawings[0].height() == HEIGHT)
    wide, tall = inked(page.back.base)
    assert wide / tall == pytest.approx(120.0 / 100.0, rel=0.02)
    section = page.sections.drawings[0]
    assert "M10 socket cap ISO 4762 \N{MULTIPLICATION SIGN} 45" in section.accessibleDescription()
    wide, tall = inked(section, style.mixed(style.LIGHT.paper, style.LIGHT.shell, 0.5))
    assert wide / tall == pytest.approx(40.0 / 100.0, rel=0.05)


def test_a_plan_has_one_scale_and_up_is_up():
    from PySide6.QtCore import QRectF

    plan = Plan(np.array([[-10.0, -20.0], [30.0, 60.0]]), QRectF(0, 0, 300, 160))
    assert plan.scale == pytest.approx(2.0)
    assert plan.at(10.0, 20.0).toTuple() == pytest.approx((150.0, 80.0))
    assert plan.at(0.0, 60.0).y() == pytest.approx(0.0)


def inked(widget, colour=None):
    """Give width and height in pixels of what a widget draws, or of what is of one colour."""
    image = widget.grab().toImage()
    at = np.array([[image.pixel(x, y) for x in range(image.width())] for y in range(image.height())])
    drawn = at == QColor(colour).rgb() if colour else at != image.pixel(1, 1)
    rows, columns = np.flatnonzero(drawn.any(axis=1)), np.flatnonzero(drawn.any(axis=0))
    return np.ptp(columns) + 1, np.ptp(rows) + 1


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


def looked_over(page):
    """Give the page a process of its own to look the back over with, and the errand that it sends there."""
    other = QuietRunner()
    page.places.task.use(other)
    page.refresh()
    return other


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
    qtbot.mouseClick(page.places.map, LEFT, pos=at)
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


def test_drawings_without_room_are_painted_all_the_same(page, document, runner, view, places):
    other = looked_over(page)
    measured(document, runner, view)
    page.places.map.show_view(places)
    page.places.map.show()
    for drawing in (page.back.base, page.places.map, *page.sections.drawings):
        for size in ((1, 1), (16, 16), (300, 5)):
            drawing.resize(*size)
            assert not drawing.grab().isNull()
    other.close()


def test_only_what_decides_has_a_flag(view):
    # Slipping and lifting are worth knowing; what turns the hold over or off its screws decides.
    cards = joint_cards(view.shape, conditions(CATALOGUE), CATALOGUE)
    lines = {line.name: line for line in card_lines(cards)}
    assert not lines["Until an edge lifts"].within_limit
    assert not lines["Until an edge lifts"].decides
    assert lines["Against turning"].decides
    assert lines["Until it overturns"].decides
