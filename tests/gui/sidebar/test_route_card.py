"""The route card, worked with real keys and clicks."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtWidgets import QApplication, QMenu

from holdwright.gui.sidebar.step_line import StepLine
from holdwright.gui.sidebar.step_state import step_states
from holdwright.gui.widgets import style
from holdwright.operations import OPERATIONS
from holdwright.operations.import_sculpt import CLOSE_FLAT
from holdwright.pipeline.recipes.history import History
from holdwright.session import Session
from quiet_runner import note, thin_wall
from recipes import new_recipe

LEFT = Qt.MouseButton.LeftButton


def line(sidebar, step_id: str) -> StepLine:
    return sidebar.card.entries[step_id].line


def rows(sidebar, document) -> list[tuple[str, str]]:
    states = [line(sidebar, step.id).state for step in document.recipe.steps]
    return [(state.number, state.title) for state in states]


def open_menu(widget) -> QMenu:
    where = widget.rect().center()
    event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, where, widget.mapToGlobal(where))
    QApplication.sendEvent(widget, event)
    menu = QApplication.activePopupWidget()
    assert isinstance(menu, QMenu)
    return menu


def choose(menu: QMenu, text: str) -> None:
    action = next(each for each in menu.actions() if each.text() == text)
    action.trigger()
    menu.close()


def test_steps_stand_numbered_in_shop_order(sidebar, document):
    present = {step.operation for step in document.recipe.steps}
    told = [(str(each.order), each.title) for each in OPERATIONS if each.name in present]
    assert rows(sidebar, document) == told
    assert len(told) == 7


def test_a_click_opens_the_form_in_place_and_another_closes_it(qtbot, sidebar, document):
    trim = line(sidebar, "s4")
    qtbot.mouseClick(trim, LEFT)
    assert document.selected == "s4"
    form = sidebar.card.entries["s4"].form
    assert form.isVisible()
    top = form.mapTo(sidebar, QPoint()).y()
    assert trim.mapTo(sidebar, QPoint()).y() < top < line(sidebar, "s5").mapTo(sidebar, QPoint()).y()
    qtbot.mouseClick(line(sidebar, "s6"), LEFT)
    assert sidebar.card.entries["s4"].form is None
    qtbot.mouseClick(line(sidebar, "s6"), LEFT)
    assert document.selected == ""
    assert sidebar.card.entries["s6"].form is None


def test_a_double_click_does_what_one_click_does(qtbot, sidebar, document):
    qtbot.mouseClick(line(sidebar, "s4"), LEFT)
    qtbot.mouseDClick(line(sidebar, "s4"), LEFT)
    assert document.selected == "s4"


def test_the_card_is_walked_and_worked_by_key(qtbot, sidebar, document):
    line(sidebar, "s1").setFocus()
    for _ in range(4):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Down)
    assert QApplication.focusWidget() is line(sidebar, "s5")
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert document.selected == "s5"
    qtbot.keyClick(line(sidebar, "s5"), Qt.Key.Key_Space)
    assert not document.recipe.step("s5").enabled
    assert line(sidebar, "s5").state.off
    assert document.selected == "s5", "the space bar skips; it does not open or close"
    qtbot.keyClick(line(sidebar, "s5"), Qt.Key.Key_Delete)
    assert [step.id for step in document.recipe.steps] == ["s1", "s2", "s3", "s4", "s6", "s7"]
    assert QApplication.focusWidget() is line(sidebar, "s6")
    document.edits.undo()
    document.edits.undo()
    assert document.recipe.step("s5").enabled
    assert len(rows(sidebar, document)) == 7
    qtbot.keyClick(line(sidebar, "s6"), Qt.Key.Key_Home)
    assert QApplication.focusWidget() is line(sidebar, "s1")
    qtbot.keyClick(line(sidebar, "s1"), Qt.Key.Key_Delete)
    qtbot.keyClick(line(sidebar, "s1"), Qt.Key.Key_Space)
    assert document.recipe.step("s1").enabled, "the first step can be neither skipped nor taken out"


def test_tab_goes_from_the_row_through_its_form_to_the_next_row(qtbot, sidebar, document):
    qtbot.mouseClick(line(sidebar, "s4"), LEFT)
    line(sidebar, "s4").setFocus()
    form = sidebar.card.entries["s4"].form
    seen = []
    for _ in range(12):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        seen.append(QApplication.focusWidget())
        if seen[-1] is line(sidebar, "s5"):
            break
    assert seen[-1] is line(sidebar, "s5")
    assert form.fields["rim"].editor.keyboard_widget() in seen
    assert form.more_button in seen


def test_another_bore_is_added_numbered_between_and_opened(sidebar, document):
    choose(open_menu(line(sidebar, "s6")), "Add another")
    assert ("61", "Cut bore") in rows(sidebar, document)
    assert document.selected == "s8"
    assert sidebar.card.entries["s8"].form.isVisible()
    document.edits.undo()
    assert "s8" not in sidebar.card.entries


def test_steps_of_a_kind_change_places_by_menu_and_key(qtbot, sidebar, document):
    document.edits.add_step("cut_bore")
    assert "Move up\tAlt+Up" in [action.text() for action in open_menu(line(sidebar, "s8")).actions()]
    QApplication.activePopupWidget().close()
    qtbot.keyClick(line(sidebar, "s8"), Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert [step.id for step in document.recipe.steps][5:] == ["s8", "s6", "s7"]
    assert (line(sidebar, "s8").state.number, line(sidebar, "s6").state.number) == ("60", "61")
    assert document.undo_text == "move cut bore"
    choose(open_menu(line(sidebar, "s8")), "Move down\tAlt+Down")
    assert [step.id for step in document.recipe.steps][5:] == ["s6", "s8", "s7"]
    for key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
        qtbot.keyClick(line(sidebar, "s7"), key, Qt.KeyboardModifier.AltModifier)
    assert [step.id for step in document.recipe.steps][5:] == ["s6", "s8", "s7"], "the core is split last"


def test_the_open_steps_heading_stays_in_sight_and_has_the_keyboard(qtbot, sidebar, document):
    sidebar.resize(340, 300)
    bore, scroll = line(sidebar, "s6"), sidebar._scroll
    scroll.ensureWidgetVisible(bore)
    qtbot.mouseClick(bore, LEFT)
    assert QApplication.focusWidget() is bore
    bar, entry = scroll.verticalScrollBar(), sidebar.card.entries["s6"]
    qtbot.waitUntil(lambda: entry.height() > scroll.viewport().height())
    qtbot.wait(50)

    def top(widget) -> int:
        return widget.mapTo(scroll.viewport(), QPoint()).y()

    assert 0 <= top(bore) < scroll.viewport().height() - bore.height(), "opening does not scroll it away"
    bar.setValue(entry.y() + 100)
    assert top(bore) == 0
    assert scroll.viewport().childAt(QPoint(60, 10)) is bore, "the form passes beneath it"
    state = line(sidebar, "s4").state
    assert line(sidebar, "s4").toolTip().startswith(state.summary)
    assert state.summary == "Cuts the back flat and gives it a straight rim."
    qtbot.mouseClick(bore, LEFT)
    assert document.selected == ""
    assert top(bore) >= 0


def test_a_menu_skips_does_again_and_takes_out(sidebar, document):
    choose(open_menu(line(sidebar, "s5")), "Skip step")
    assert not document.recipe.step("s5").enabled
    choose(open_menu(line(sidebar, "s5")), "Include step")
    assert document.recipe.step("s5").enabled
    choose(open_menu(line(sidebar, "s5")), "Remove step")
    assert "s5" not in sidebar.card.entries
    words = [action.text() for action in open_menu(line(sidebar, "s1")).actions()]
    QApplication.activePopupWidget().close()
    assert words == ["Note..."], "the first step stays"


def test_what_is_missing_is_offered_to_be_added(qtbot, sidebar, document):
    document.edits.remove_step("s7")
    sidebar.card.open_add_menu()
    menu = QApplication.activePopupWidget()
    words = [action.text() for action in menu.actions() if action.text()]
    assert words == [
        "Cut screw hole",
        "Relieve back",
        "Engrave back",
        "Split core",
        "Chamfer tips, another",
        "Cut bore, another",
    ]
    choose(menu, "Split core")
    assert rows(sidebar, document)[-1] == ("80", "Split core")
    for number in range(2):
        sidebar.card.open_add_menu()
        menu = QApplication.activePopupWidget()
        choose(menu, "Cut screw hole" + number * ", another")
    assert [title for _, title in rows(sidebar, document)[-4:]] == [
        "Cut bore",
        "Cut screw hole",
        "Cut screw hole",
        "Split core",
    ]


def test_a_note_is_written_read_and_written_on_in_place(qtbot, sidebar, document):
    entry = sidebar.card.entries["s4"]
    choose(open_menu(entry.line), "Note...")
    qtbot.keyClicks(QApplication.focusWidget(), "sand on the plate")
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert document.recipe.step("s4").note == "sand on the plate"
    assert entry.note.isVisible()
    assert QApplication.focusWidget() is entry.line
    qtbot.mouseClick(entry.note.words, LEFT)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_End)
    qtbot.keyClicks(QApplication.focusWidget(), ", twice")
    line(sidebar, "s1").setFocus()
    assert document.recipe.step("s4").note == "sand on the plate, twice"
    entry.note.write()
    qtbot.keyClicks(QApplication.focusWidget(), "never mind")
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert document.recipe.step("s4").note == "sand on the plate, twice"
    document.edits.undo()
    document.edits.undo()
    assert not entry.note.isVisible()


def test_a_note_of_one_long_word_leaves_the_rows_their_room(qtbot, sidebar, document, runner):
    word = "handle_of_the_left_" * 12
    runner.give(document, "s1", "11 pieces fused")
    runner.finish()
    document.edits.note_step("s4", word)
    document.edits.select("s4")
    entry = sidebar.card.entries["s4"]
    qtbot.waitUntil(lambda: entry.note.isVisible())
    room = sidebar.width()
    qtbot.waitUntil(lambda: entry.width() <= room)
    assert all(each.width() <= room for each in sidebar.card.entries.values())
    assert entry.note.words.accessibleName() == word
    assert entry.note.words.height() > 4 * entry.note.words.fontMetrics().height()
    qtbot.mouseClick(entry.note.words, LEFT)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_End)
    qtbot.keyClicks(QApplication.focusWidget(), "!")
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert document.recipe.step("s4").note == f"{word}!"


def test_an_import_that_a_file_has_skipped_is_had_back(qtbot, sidebar, document):
    recipe = document.recipe.toggled("s1")
    document.open_session(Session(History.of(recipe)))
    choose(open_menu(sidebar.card.entries["s1"].line), "Include step")
    assert document.recipe.step("s1").enabled
    document.edits.undo()
    qtbot.keyClick(line(sidebar, "s1"), Qt.Key.Key_Space)
    assert document.recipe.step("s1").enabled
    qtbot.keyClick(line(sidebar, "s1"), Qt.Key.Key_Space)
    assert document.recipe.step("s1").enabled, "it is the one step that cannot be missed"


def test_rows_tell_working_done_failed_skipped_and_out_of_date(sidebar, document, runner):
    states = {state.id: state for state in step_states(document)}
    assert states["s1"].working
    assert states["s2"].stale
    assert not states["s2"].working
    runner.give(document, "s1", "9 pieces fused", findings=(note(),))
    runner.give(document, "s2", "found: ground block", findings=(thin_wall(), thin_wall("error"), note()))
    runner.give(document, "s3", failed="Step 3 (s3, Scale to envelope): The hold has no size; choose a rule.")
    runner.finish("Step 3 ...")
    first, second, third, fourth = (line(sidebar, f"s{number}").state for number in range(1, 5))
    assert (first.result, first.flags, first.stale) == ("9 pieces fused", 0, False)
    assert (second.flags, second.grave) == (2, True)
    assert third.failed == "The hold has no size; choose a rule."
    assert not sidebar.card.entries["s3"].offer.isVisible()
    assert sidebar.card.entries["s3"].failure.isVisible()
    assert fourth.stale
    assert not fourth.working
    for step_id, words in (
        ("s2", "2 findings"),
        ("s3", "failed: The hold has no size"),
        ("s4", "not run yet"),
    ):
        assert words in line(sidebar, step_id).accessibleDescription()
    document.edits.edit("s1", {"unit": "mm"})
    assert line(sidebar, "s1").state.working
    assert line(sidebar, "s2").state.stale
    assert line(sidebar, "s2").state.result == "found: ground block", "figures stay till there are new ones"
    assert not sidebar.card.entries["s3"].failure.isVisible()


def test_a_refused_sheet_gets_its_flat_back_by_one_click(qtbot, sidebar, document, runner):
    refused = f'The sculpt\'s one piece, "cliff", bounds no solid; close it in the sculpt, or {CLOSE_FLAT}.'
    runner.give(document, "s1", failed=f"Step 1 (s1, Import): {refused}")
    runner.finish("Step 1 ...")
    entry = sidebar.card.entries["s1"]
    assert entry.offer.isVisible()
    assert entry.offer in entry.keyboard_path()
    qtbot.mouseClick(entry.offer, LEFT)
    assert document.recipe.step("s1").parameters.open_back == "close flat"
    assert not entry.offer.isVisible()
    assert entry.offer not in entry.keyboard_path()
    assert entry.line.hasFocus(), "the keyboard stays with the step"
    document.edits.undo()
    assert document.recipe.step("s1").parameters.open_back == "refuse"


def test_lengths_follow_the_preferred_unit(qtbot, sidebar, document):
    qtbot.mouseClick(line(sidebar, "s4"), LEFT)

    def rim() -> str:
        return sidebar.card.entries["s4"].form.fields["rim"].editor.keyboard_widget().text()

    assert rim() == "3 mm"
    sidebar.set_unit("inch")
    assert rim() == "0.118 in"


def test_the_card_follows_another_scheme(qtbot, qapp, sidebar, document):
    def ground(step_id: str) -> str:
        return sidebar.card.entries[step_id].palette().window().color().name()

    document.edits.select("s4")
    assert ground("s4") == style.LIGHT.sunken.lower()
    try:
        style.apply(qapp, "dark")
        qtbot.waitUntil(lambda: ground("s4") == style.DARK.sunken.lower())
        assert ground("s5") == style.DARK.paper.lower()
        picture = sidebar.card.entries["s4"].grab().toImage()
        assert picture.pixelColor(0, picture.height() - 2).name() == style.DARK.accent.lower()
    finally:
        style.apply(qapp, "light")
    qtbot.waitUntil(lambda: ground("s4") == style.LIGHT.sunken.lower())


def test_another_document_starts_a_card_of_its_own(sidebar, document):
    from holdwright.pipeline.recipes.history import History
    from holdwright.session import Session

    before = dict(sidebar.card.entries)
    document.open_session(Session(History.of(new_recipe())))
    assert list(sidebar.card.entries) == ["s1"]
    assert sidebar.card.entries["s1"] is not before["s1"]
    document.open_session(None)
    assert sidebar.card.entries == {}
    assert not sidebar.findings.isVisible()
