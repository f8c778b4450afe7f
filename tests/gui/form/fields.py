"""Fields of a form, their values, and typing into them."""

from PySide6.QtCore import Qt

from holdwright.gui.form.figure_box import FigureBox


def box(form, name: str) -> FigureBox:
    return form.fields[name].editor.keyboard_widget()


def value(document, step_id: str, name: str):
    return getattr(document.recipe.step(step_id).parameters, name)


def type_in(qtbot, widget, text: str, key=Qt.Key.Key_Return) -> None:
    widget.setFocus()
    widget.selectAll()
    qtbot.keyClicks(widget, text)
    qtbot.keyClick(widget, key)
