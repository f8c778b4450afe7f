"""What deserves a look."""

from dataclasses import replace

from PySide6.QtCore import QPoint, Qt

from holdwright.gui.sidebar.finding_line import FindingLine
from holdwright.gui.sidebar.step_line import DOTS
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import held_together
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import new_finding
from quiet_runner import note, thin_wall

LEFT = Qt.MouseButton.LeftButton


def lines(sidebar) -> list[FindingLine]:
    found = [each for each in sidebar.findings.findChildren(FindingLine) if each.isVisible()]
    return sorted(found, key=lambda each: each.mapTo(sidebar, QPoint()).y())


def narrow_flat(width: float) -> Finding:
    return new_finding("flat_too_narrow", width, 8.0, (0.0, 0.0, 9.0), depth=5.0)


def drag_rule(qtbot, rule, down: int) -> None:
    start = rule.rect().center()
    qtbot.mousePress(rule, LEFT, pos=start)
    # The rule goes along: the pointer is told where it is over the rule as that lies then.
    for _ in range(6):
        goal = rule.mapFromGlobal(rule.mapToGlobal(start) + QPoint(0, down // 6))
        qtbot.mouseMove(rule, goal)
        qtbot.wait(20)
    qtbot.mouseRelease(rule, LEFT, pos=start)


def finish(runner, document, **findings) -> None:
    for step in document.recipe.steps:
        runner.give(document, step.id, "done", findings=findings.get(step.id, ()))
    runner.finish()


def test_findings_are_counted_and_the_gravest_stands_first(qtbot, sidebar, document, runner):
    assert sidebar.findings.headline.text() == "No warnings yet"
    finish(runner, document, s6=(thin_wall(),), s7=(note(), thin_wall("error")))
    assert sidebar.findings.headline.text() == "1 error, 1 warning"
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 2)
    grave, mild = lines(sidebar)
    assert grave.accessibleName().startswith("Error: The wall round the clearance hole")
    assert "Step 80" in grave.accessibleDescription()
    assert mild.accessibleName().startswith("Warning")


def test_a_click_chooses_the_step_and_tells_the_place(qtbot, sidebar, document, runner):
    finish(runner, document, s6=(thin_wall(),))
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 1)
    with qtbot.waitSignal(sidebar.finding_chosen) as chosen:
        qtbot.mouseClick(lines(sidebar)[0], LEFT)
    assert chosen.args == ["s6", thin_wall()]
    assert document.selected == "s6"


def test_notes_are_folded_away_until_asked_for(qtbot, sidebar, document, runner):
    finish(runner, document, s7=(note(), note()))
    assert sidebar.findings.headline.text() == "No warnings yet, print not checked", (
        "the print is still to be checked"
    )
    document.take_print((), current=True)
    assert sidebar.findings.headline.text() == "No warnings"
    button = sidebar.findings.notes_button
    assert button.text() == "2 notes"
    assert lines(sidebar) == []
    qtbot.mouseClick(button, LEFT)
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 1)
    qtbot.mouseClick(button, LEFT)
    assert lines(sidebar) == []


def test_like_ones_are_folded_into_one_sentence_and_unfold_by_a_click(qtbot, sidebar, document, runner):
    flats = [narrow_flat(width) for width in (5.3, 6.0, 4.1)]
    finish(runner, document, s5=tuple(flats), s6=(thin_wall(),))
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 2)
    folded = next(line for line in lines(sidebar) if "flats" in line.text())
    assert folded.text() == held_together("3 flats are narrower than 8 mm, the narrowest 4.1 mm.")
    qtbot.mouseClick(folded, LEFT)
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 5)
    told = [line.text() for line in lines(sidebar)]
    worst = told.index(folded.text()) + 1
    assert told[worst : worst + 3] == [held_together(flats[each].message) for each in (2, 0, 1)]
    with qtbot.waitSignal(sidebar.finding_chosen) as chosen:
        qtbot.mouseClick(lines(sidebar)[worst], LEFT)
    assert chosen.args == ["s5", flats[2]]
    qtbot.waitUntil(lambda: any(line.hasFocus() for line in lines(sidebar)))
    (focused,) = (line for line in lines(sidebar) if line.hasFocus())
    assert focused.text() == told[worst], "the line clicked has the keyboard, wherever it stands now"


def test_the_open_steps_findings_come_before_graver_ones(qtbot, sidebar, document, runner):
    finish(runner, document, s5=(narrow_flat(5.0),), s6=(thin_wall("error"),))
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 2)
    assert lines(sidebar)[0].accessibleName().startswith("Error")
    qtbot.mouseClick(sidebar.card.entries["s5"].line, LEFT)
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 2 and lines(sidebar)[0].text().startswith("Cut"))


def test_the_list_folds_and_keeps_the_height_it_is_dragged_to(qtbot, sidebar, document, runner):
    codes = [replace(thin_wall(), code=f"code_{number}") for number in range(12)]
    finish(runner, document, s6=tuple(codes))
    findings = sidebar.findings
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 12)
    assert 0.3 * sidebar.height() < findings.height() <= 0.38 * sidebar.height()
    drag_rule(qtbot, findings.rule, -120)
    qtbot.waitUntil(lambda: 0.5 * sidebar.height() < findings.height() < 0.56 * sidebar.height())
    with qtbot.waitSignal(findings.reshaped) as kept:
        qtbot.mouseClick(findings.headline, LEFT)
    assert kept.args[0]
    qtbot.waitUntil(lambda: findings.height() < 60)
    assert "12 warnings" in findings.headline.text(), "the count stays while the list is folded"
    qtbot.mouseClick(findings.headline, LEFT)
    qtbot.waitUntil(lambda: findings.height() > 0.5 * sidebar.height())


def test_the_flag_on_the_route_card_opens_that_steps_findings(qtbot, sidebar, document, runner):
    finish(runner, document, s5=(narrow_flat(5.0),), s6=(thin_wall("error"),))
    qtbot.mouseClick(sidebar.findings.headline, LEFT)
    assert not lines(sidebar)
    line = sidebar.card.entries["s5"].line
    spot = QPoint(line.width() - DOTS - 2 * style.GAP, line.height() // 2)
    qtbot.mouseClick(line, LEFT, pos=spot)
    assert document.selected == "s5"
    qtbot.waitUntil(lambda: bool(lines(sidebar)) and lines(sidebar)[0].text().startswith("Cut"))
    qtbot.mouseClick(line, LEFT, pos=spot)
    assert document.selected == "s5", "a second click leaves the step open"


def test_nothing_to_look_at_is_said_once_all_is_done(sidebar, document, runner):
    finish(runner, document)
    assert sidebar.findings.headline.text() == "No warnings yet, print not checked", (
        "the print is still to be checked"
    )
    document.take_print((), current=True)
    assert sidebar.findings.headline.text() == "No warnings"


def test_a_failure_is_named_in_the_headline(sidebar, document, runner):
    runner.give(document, "s1", "done", findings=(thin_wall(),))
    runner.give(document, "s2", failed="No back was found.")
    runner.finish("No back was found.")
    assert sidebar.findings.headline.text() == "Stopped at Orient to base, 1 warning"


def test_a_name_of_one_long_word_is_broken_and_none_of_it_cut_off(qtbot, sidebar, document, runner):
    name = "stroke_" * 16
    told = replace(thin_wall(), message=f"Piece {name} is open.", advice=f"Leave {name} out.")
    finish(runner, document, s6=(told,))
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 1)
    (line,) = lines(sidebar)
    qtbot.waitUntil(lambda: line.height() >= line.heightForWidth(line.width()))
    assert line.text() == told.message
    words = line.fontMetrics().horizontalAdvance(told.message + told.advice)
    needed = words / line.width() * line.fontMetrics().height()
    assert line.height() > needed, "as many lines as the letters fill"


def test_words_wrap_and_none_is_cut_off(qtbot, sidebar, document, runner):
    finish(runner, document, s6=(thin_wall(),))
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 1)
    (line,) = lines(sidebar)
    qtbot.waitUntil(lambda: line.height() >= line.heightForWidth(line.width()))
    assert line.heightForWidth(200) > line.heightForWidth(600)


def test_a_warning_that_comes_in_is_not_out_of_sight(qtbot, sidebar, document, runner):
    sidebar.resize(340, 420)
    for step in ("s2", "s3", "s4", "s5"):
        runner.give(document, step, findings=(thin_wall(),))
    bar = sidebar.findings._scroll.verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    bar.setValue(bar.maximum())
    runner.give(document, "s6", findings=(note(),))
    assert bar.value() > 0, "a note moves nothing"
    runner.give(document, "s7", findings=(thin_wall("error"),))
    assert bar.value() == 0
