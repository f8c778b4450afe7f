"""An editor of places on the surface: one, or several."""

from functools import partial
from typing import Any, Final

from PySide6.QtWidgets import QLabel, QWidget

from holdwright.gui.form.editor import Editor
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import clear, column, row
from holdwright.gui.widgets.number_format import Scale
from holdwright.parameters.describe import FieldDescription
from holdwright.parameters.kinds import PointPick

MOST_SHOWN: Final = 12


class PicksEditor(Editor):
    """Lists the places, each with a button to take it out, and requests further ones to be picked."""

    wide = True

    def __init__(self, field: FieldDescription, scale: Scale, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self._scale = scale
        self._picks: tuple[PointPick, ...] | None = None
        self.out_buttons: list[QuietButton] = []
        self._rows = column()
        self._pick = QuietButton("Pick in the view", self, icon_name="pick", clicked=self.pick_requested)
        self._pick.setAccessibleName(f"{field.title}: pick in the view")
        self._keyboard = self._pick
        column(self._rows, row(self._pick, None), on=self)

    def show_value(self, value: Any) -> None:
        """Show a place or several."""
        picks = value if isinstance(value, tuple) else () if value is None else (value,)
        if picks == self._picks:
            return
        self._picks = picks
        self.out_buttons = []
        clear(self._rows)
        for number, pick in enumerate(picks[:MOST_SHOWN]):
            self._rows.addWidget(self._row(number, pick))
        self._order_tabs()
        if len(picks) > MOST_SHOWN:
            self._rows.addWidget(QLabel(f"and {len(picks) - MOST_SHOWN} more", self))

    def _row(self, number: int, pick: PointPick) -> QWidget:
        place = ", ".join(self._scale.figure(round(part, 1)) for part in pick.point)
        held = QWidget(self)
        label = QLabel(f"{place}{self._scale.suffix}", held)
        clicked = partial(self._take_out, number)
        out = QuietButton(f"Remove point {number + 1}", held, icon_only="remove", clicked=clicked)
        self.out_buttons.append(out)
        row((label, 1), out, on=held, margins=(style.GAP, 0, 0, 0), gap=style.GRID)
        return held

    def _order_tabs(self) -> None:
        """Let the keyboard come to the places before it comes to the button beneath them."""
        before = self._pick.previousInFocusChain()
        for button in (*self.out_buttons, self._pick):
            if before is not None:
                QWidget.setTabOrder(before, button)
            before = button

    def _take_out(self, number: int) -> None:
        if self.field.kind == "pick":
            self.requested.emit(None)
        elif self._picks is not None:
            self.requested.emit(self._picks[:number] + self._picks[number + 1 :])
        self._pick.setFocus()
