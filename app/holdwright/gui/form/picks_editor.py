"""An editor of places on the surface: one, or several."""

from typing import Any, Final

from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from holdwright.gui.form.editor import Editor
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.number_format import Scale
from holdwright.parameters.describe import FieldDescription
from holdwright.parameters.kinds import PointPick

MOST_SHOWN: Final = 12


class PicksEditor(Editor):
    """Lists the places, each with a button to take it out, and asks for further ones to be picked."""

    wide = True

    def __init__(self, field: FieldDescription, scale: Scale, parent: QWidget | None = None) -> None:
        super().__init__(field, parent)
        self._scale = scale
        self._picks: tuple[PointPick, ...] | None = None
        self.out_buttons: list[QuietButton] = []
        self._rows = QVBoxLayout()
        self._rows.setSpacing(0)
        self._pick = QuietButton("Pick in the view", self, icon_name="pick")
        self._pick.setAccessibleName(f"{field.title}: pick in the view")
        self._pick.clicked.connect(self.pick_asked)
        button_row = QHBoxLayout()
        button_row.setContentsMargins(0, 0, 0, 0)
        button_row.addWidget(self._pick)
        button_row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(self._rows)
        column.addLayout(button_row)

    def show_value(self, value: Any) -> None:
        """Show the place or places there are."""
        picks = value if isinstance(value, tuple) else () if value is None else (value,)
        if picks == self._picks:
            return
        self._picks = picks
        self.out_buttons = []
        while (item := self._rows.takeAt(0)) is not None:
            row = item.widget()
            if row is not None:
                row.hide()
                row.deleteLater()
        for number, pick in enumerate(picks[:MOST_SHOWN]):
            self._rows.addWidget(self._row(number, pick))
        self._order_tabs()
        if len(picks) > MOST_SHOWN:
            self._rows.addWidget(QLabel(f"and {len(picks) - MOST_SHOWN} more", self))

    def keyboard_widget(self) -> QWidget:
        """Give the button that asks for a pick."""
        return self._pick

    def _row(self, number: int, pick: PointPick) -> QWidget:
        row = QWidget(self)
        layout = QHBoxLayout(row)
        layout.setContentsMargins(style.GAP, 0, 0, 0)
        layout.setSpacing(style.GRID)
        place = ", ".join(self._scale.figure(round(part, 1)) for part in pick.point)
        label = QLabel(f"{place}{self._scale.suffix}", row)
        out = QuietButton(f"Remove point {number + 1}", row, icon_name="remove", words_shown=False)
        out.clicked.connect(lambda: self._take_out(number))
        self.out_buttons.append(out)
        layout.addWidget(label, 1)
        layout.addWidget(out)
        return row

    def _order_tabs(self) -> None:
        """Let the keyboard come to the places before it comes to the button beneath them."""
        before = self._pick.previousInFocusChain()
        for button in (*self.out_buttons, self._pick):
            if before is not None:
                QWidget.setTabOrder(before, button)
            before = button

    def _take_out(self, number: int) -> None:
        if self.field.kind == "pick":
            self.asked.emit(None)
        elif self._picks is not None:
            self.asked.emit(self._picks[:number] + self._picks[number + 1 :])
        self._pick.setFocus()
