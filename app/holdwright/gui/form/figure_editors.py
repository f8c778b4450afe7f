"""Editors of figures: one, one with a slider, or two for a position."""

from dataclasses import replace
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QWidget

from holdwright.gui.form.editor import Editor
from holdwright.gui.form.figure_box import FigureBox
from holdwright.gui.form.slider import Slider
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Scale
from holdwright.parameters.describe import FieldDescription


class FigureEditor(Editor):
    """One figure; a whole one where the parameter is a count."""

    def __init__(self, field: FieldDescription, scale: Scale, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self._box = FigureBox(field, scale, self)
        self._box.typed.connect(lambda value: self.asked.emit(self._whole(value)))
        self._box.moved.connect(lambda value: self.moved.emit(self._whole(value)))
        self._box.settled.connect(self.settled)
        self._box.refused.connect(self.refused)
        _in_row(self, self._box)

    def show_value(self, value: Any) -> None:
        """Show a figure."""
        self._box.show_value(float(value))

    def keyboard_widget(self) -> QWidget:
        """Give the box."""
        return self._box

    def text_menu(self) -> QMenu | None:
        """Give the menu of the box's text."""
        return self._box.lineEdit().createStandardContextMenu()

    def _whole(self, value: float) -> float | int:
        return round(value) if self.field.kind == "count" else value


class ShareEditor(Editor):
    """A share: a slider for the hand and a figure for the eye."""

    wide = True

    def __init__(self, field: FieldDescription, scale: Scale, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self.slider = Slider(self)
        self.slider.setRange(0, 100)
        self.slider.setPageStep(10)
        self.slider.setAccessibleName(f"{field.title}, by hand")
        self._box = FigureBox(field, scale, self)
        self.slider.valueChanged.connect(self._slid)
        self.slider.settled.connect(self.settled)
        self._box.typed.connect(self.asked.emit)
        self._box.moved.connect(self.moved.emit)
        self._box.settled.connect(self.settled)
        self._box.refused.connect(self.refused)
        _in_row(self, self.slider, self._box)

    def show_value(self, value: Any) -> None:
        """Show a share from 0 to 1."""
        self._box.show_value(float(value))
        blocked = self.slider.blockSignals(True)
        self.slider.setValue(round(float(value) * 100))
        self.slider.blockSignals(blocked)

    def keyboard_widget(self) -> QWidget:
        """Give the box."""
        return self._box

    def text_menu(self) -> QMenu | None:
        """Give the menu of the box's text."""
        return self._box.lineEdit().createStandardContextMenu()

    def _slid(self, percent: int) -> None:
        self.moved.emit(percent / 100.0)


class PositionEditor(Editor):
    """A place on the wall: x to the right, y up."""

    wide = True

    def __init__(self, field: FieldDescription, scale: Scale, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self._value = (0.0, 0.0)
        self.boxes: list[FigureBox] = []
        widgets: list[QWidget] = []
        for axis, name in enumerate(("x", "y")):
            box = FigureBox(replace(field, title=f"{field.title}, {name}"), scale, self)
            box.typed.connect(lambda value, axis=axis: self.asked.emit(self._with(axis, value)))
            box.moved.connect(lambda value, axis=axis: self.moved.emit(self._with(axis, value)))
            box.settled.connect(self.settled)
            box.refused.connect(self.refused)
            label = QLabel(name, self)
            label.setBuddy(box)
            widgets += [label, box]
            self.boxes.append(box)
        _in_row(self, *widgets)

    def show_value(self, value: Any) -> None:
        """Show a pair of coordinates."""
        self._value = (float(value[0]), float(value[1]))
        for box, part in zip(self.boxes, self._value, strict=True):
            box.show_value(part)

    def keyboard_widget(self) -> QWidget:
        """Give the box for x."""
        return self.boxes[0]

    def _with(self, axis: int, part: float) -> tuple[float, float]:
        return (part, self._value[1]) if axis == 0 else (self._value[0], part)


def _in_row(editor: Editor, *widgets: QWidget) -> None:
    row = QHBoxLayout(editor)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(style.GAP)
    for widget in widgets:
        row.addWidget(widget, 0 if isinstance(widget, QLabel) else 1)
