"""What deserves a look."""

from dataclasses import replace

from PySide6.QtCore import QPoint, Qt

from holdwright.gui.sidebar.finding_line import FindingLine
from quiet_runner import note, thin_wall

LEFT = Qt.MouseButton.LeftButton


def lines(sidebar) -> list[FindingLine]:
    found = [each for each in sidebar.findings.findChildren(FindingLine) if each.isVisible()]
    return sorted(found, key=lambda each: each.mapTo(sidebar, QPoint()).y())


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
    assert "Step 70" in grave.accessibleDescription()
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
    assert sidebar.findings.headline.text() == "No warnings"
    button = sidebar.findings.notes_button
    assert button.text() == "2 notes"
    assert lines(sidebar) == []
    qtbot.mouseClick(button, LEFT)
    qtbot.waitUntil(lambda: len(lines(sidebar)) == 2)
    qtbot.mouseClick(button, LEFT)
    assert lines(sidebar) == []


def test_nothing_to_look_at_is_said_once_all_is_done(sidebar, document, runner):
    finish(runner, document)
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
