"""Keys: every command has one, none twice, and letters can be typed wherever there is a field."""

from collections import Counter

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QMainWindow, QVBoxLayout, QWidget

from holdwright.gui.bars.actions import COMMANDS, Actions


@pytest.fixture
def window(qtbot):
    made = QMainWindow()
    qtbot.addWidget(made)
    held = QWidget()
    made.view = QWidget()
    made.view.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    made.field = QLineEdit()
    column = QVBoxLayout(held)
    column.addWidget(made.field)
    column.addWidget(made.view)
    made.setCentralWidget(held)
    made.table = Actions(made, made.view)
    with qtbot.waitExposed(made):
        made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


@pytest.mark.parametrize(
    ("key", "modifiers", "name"),
    [
        (Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier, "export"),
        (Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier, "undo"),
        (Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier, "redo"),
        (Qt.Key.Key_PageDown, Qt.KeyboardModifier.ControlModifier, "next_step"),
        (Qt.Key.Key_F1, Qt.KeyboardModifier.NoModifier, "help"),
        (Qt.Key.Key_X, Qt.KeyboardModifier.NoModifier, "section"),
        (Qt.Key.Key_2, Qt.KeyboardModifier.NoModifier, "view_front"),
        (Qt.Key.Key_Question, Qt.KeyboardModifier.NoModifier, "help"),
    ],
)
def test_keys_give_their_command_in_the_view(qtbot, window, key, modifiers, name):
    window.view.setFocus()
    with qtbot.waitSignal(window.table[name].triggered):
        qtbot.keyClick(window.view, key, modifiers)


def test_letters_are_typed_where_there_is_a_field(qtbot, window):
    met = []
    for command in COMMANDS:
        window.table[command.name].triggered.connect(lambda _on=False, name=command.name: met.append(name))
    window.field.setFocus()
    qtbot.keyClicks(window.field, "xmhfg?1234")
    assert window.field.text() == "xmhfg?1234"
    assert met == []
    qtbot.keyClick(window.field, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert met == ["save"]


def test_switches_keep_their_state(qtbot, window):
    window.view.setFocus()
    for expected in (True, False):
        with qtbot.waitSignal(window.table["heat"].toggled) as met:
            qtbot.keyClick(window.view, Qt.Key.Key_H)
        assert met.args == [expected]


def test_in_the_empty_window_only_what_makes_sense_is_on(qtbot, window):
    window.table.set_document_open(False)
    window.view.setFocus()
    with qtbot.assertNotEmitted(window.table["section"].triggered):
        qtbot.keyClick(window.view, Qt.Key.Key_X)
    with qtbot.waitSignal(window.table["open"].triggered):
        qtbot.keyClick(window.view, Qt.Key.Key_O, Qt.KeyboardModifier.ControlModifier)


def test_no_key_and_no_name_is_given_twice():
    keys = Counter(
        key.casefold() for command in COMMANDS for key in f"{command.keys} {command.view_keys}".split()
    )
    assert [key for key, count in keys.items() if count > 1] == []
    assert len({command.name for command in COMMANDS}) == len(COMMANDS)
    single = [key for command in COMMANDS for key in command.keys.split() if len(key) == 1]
    assert single == []


def test_the_keys_for_people_list_all(window):
    anywhere, over_the_view = window.table.keys(in_view=False), window.table.keys(in_view=True)
    assert len(anywhere) == sum(bool(command.keys) for command in COMMANDS)
    assert len(over_the_view) == sum(bool(command.view_keys) for command in COMMANDS)
    assert all(keys and summary for keys, summary in (*anywhere, *over_the_view))
    assert ("Ctrl+Shift+Z or Ctrl+Y", "Redo the last undone change") in anywhere
