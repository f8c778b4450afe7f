"""Editors of figures: one, one with a slider, or two for a position."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from PySide6.QtWidgets import QLabel, QMenu, QWidget

from holdwright.gui.form.editor import Editor
from holdwright.gui.form.figure_box import FigureBox
from holdwright.gui.form.slider import Slider
from holdwright.gui.widgets.number_format import Scale
from holdwright.parameters.describe import FieldDescription


class FigureEditor(Editor):
    """One figure; a whole one where the parameter is a count."""

    def __init__(self, field: FieldDescription, scale: Scale, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self._box = self._add_box(field, scale, self._whole)
        self._lay_out()

    def show_value(self, value: Any) -> None:
        """Show a figure."""
        self._box.show_value(float(value))

    def text_menu(self) -> QMenu | None:
        """Give the menu of the box's text."""
        return self._box.lineEdit().createStandardContextMenu()

    def _add_box(self, field: FieldDescription, scale: Scale, value_of: Callable[[float], Any]) -> FigureBox:
        """Make a box of which each figure gives a value."""
        box = FigureBox(field, scale, self)
        box.typed.connect(lambda figure: self.requested.emit(value_of(figure)))
        box.moved.connect(lambda figure: self.moved.emit(value_of(figure)))
        box.settled.connect(self.settled)
        box.refused.connect(self.refused)
        return box

    def _lay_out(self) -> None:
        self.hold(self._box)

    def _whole(self, value: float) -> float | int:
        return round(value) if self.field.kind == "count" else value


class OptionalFigureEditor(FigureEditor):
    """A figure or none; the scale has a word for none, at a value of its own."""

    def __init__(self, field: FieldDescription, scale: Scale, parent: QWidget | None = None) -> None:
        self._none = scale.word_at
        super().__init__(field, scale, parent)

    def show_value(self, value: Any) -> None:
        """Show a figure or the word."""
        super().show_value(self._none if value is None else value)

    def _whole(self, value: float) -> Any:
        return None if value == self._none else super()._whole(value)


class ShareEditor(FigureEditor):
    """A share from 0 to 1: a slider to drag and a figure to read."""

    wide = True

    def show_value(self, value: Any) -> None:
        """Show a share from 0 to 1."""
        super().show_value(value)
        self.slider.show_value(round(float(value) * 100))

    def _lay_out(self) -> None:
        self.slider = Slider(f"{self.field.title}, by hand", parent=self)
        self.slider.valueChanged.connect(lambda percent: self.moved.emit(percent / 100.0))
        self.slider.settled.connect(self.settled)
        self.hold(self._box, (self.slider, 1), (self._box, 1))


class PositionEditor(FigureEditor):
    """A place on the wall: x to the right, y up."""

    wide = True

    def __init__(self, field: FieldDescription, scale: Scale, parent: QWidget | None = None) -> None:
        Editor.__init__(self, field, parent)
        self._value = (0.0, 0.0)
        x, y = (replace(field, title=f"{field.title}, {name}") for name in ("x", "y"))
        self.boxes = [
            self._add_box(x, scale, lambda figure: (figure, self._value[1])),
            self._add_box(y, scale, lambda figure: (self._value[0], figure)),
        ]
        names = [QLabel(name, self) for name in ("x", "y")]
        for name, box in zip(names, self.boxes, strict=True):
            name.setBuddy(box)
        self.hold(self.boxes[0], names[0], (self.boxes[0], 1), names[1], (self.boxes[1], 1))
        self.boxes[0].setAccessibleName(x.title)

    def show_value(self, value: Any) -> None:
        """Show a pair of coordinates."""
        self._value = (float(value[0]), float(value[1]))
        for box, part in zip(self.boxes, self._value, strict=True):
            box.show_value(part)

    def text_menu(self) -> QMenu | None:
        """Give none: it has two texts."""
        return None
