"""An editor of names of pieces: the sculpt's pieces with ticks, and names or patterns typed in."""

from typing import Any

from PySide6.QtWidgets import QListWidgetItem, QWidget

from holdwright.gui.document.piece_model import Pieces
from holdwright.gui.form.editor import Editor
from holdwright.gui.form.field_frame import PlainLine
from holdwright.gui.form.piece_list import PieceList, PieceRow
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import column
from holdwright.gui.widgets.number_format import Preferred, length_scale, typeset, volume_text
from holdwright.hold.piece_account import PieceAccount
from holdwright.parameters.describe import FieldDescription
from holdwright.parameters.piece_names import matches, without
from holdwright.pipeline.views.raw_survey import BY_NAME
from holdwright.units import MILLIMETRES


class NamesEditor(Editor):
    """Pieces that are ticked are left out; a name that fits none of the present pieces is listed as well.

    Parameters
    ----------
    pieces
        The sculpt's pieces; hears which is pointed at, and says which is in the view.
    unit
        Lengths are shown in it.
    """

    wide = True

    def __init__(
        self, field: FieldDescription, pieces: Pieces, unit: Preferred, parent: QWidget | None = None
    ) -> None:
        super().__init__(field, parent)
        self._pieces = pieces
        self._unit: Preferred = unit
        self._names: tuple[str, ...] = ()
        self._list = PieceList(self)
        self._list.setAccessibleName(field.title)
        self._list.ticked.connect(self._tick)
        self._list.pointed.connect(pieces.point)
        self._list.currentItemChanged.connect(self._choose)
        self.typed_line = PlainLine(self)
        self.typed_line.setPlaceholderText("Name, or start of names*")
        self.typed_line.setAccessibleName(f"{field.title}: further name")
        self.typed_line.returnPressed.connect(self._add_typed)
        column(self._list, self.typed_line, on=self, gap=style.GRID)
        pieces.changed.connect(self._fill)
        pieces.pointed_changed.connect(self._point)
        self._fill()

    def show_value(self, value: Any) -> None:
        """Show which names are given; other fields say as well what is left out."""
        self._names = tuple(value)
        self._fill()

    def keyboard_widget(self) -> QWidget:
        """Give the list, or the line while the list is empty."""
        return self.typed_line if self._list.isHidden() else self._list

    def close_down(self) -> None:
        """Hear of the pieces no longer."""
        self._pieces.changed.disconnect(self._fill)
        self._pieces.pointed_changed.disconnect(self._point)
        self._pieces.point("")

    def _fill(self) -> None:
        scale = self._pieces.millimetres
        rows = [self._row(each, scale) for each in self._pieces.accounts]
        unknown = "no such piece in this sculpt"
        rows += [PieceRow(name, left_out=True, tip=f"{name}: {unknown}") for name in self._strangers]
        self._list.show_rows(rows)
        self._point()

    @property
    def _strangers(self) -> list[str]:
        pieces = [each.name for each in self._pieces.accounts]
        return [name for name in self._names if not any(matches(name, each) for each in pieces)]

    def _row(self, account: PieceAccount, scale: float | None) -> PieceRow:
        why = self._pieces.why_left(account)
        grade = self._grade(account, scale) if why in ("", BY_NAME) else why
        figures = self._figures(account, scale)
        lines = filter(None, [account.name, grade, figures, *account.done, account.problem])
        return PieceRow(account.name, grade, figures, bool(why), "\n".join(lines))

    def _grade(self, account: PieceAccount, scale: float | None) -> str:
        """Say what came of a piece, and how far sculpt and solid are from each other."""
        if scale is None or not account.deviation:
            return account.grade
        off = length_scale(self._unit).text(float(f"{account.deviation * scale:.2g}"))
        return f"{account.grade}, {off} off"

    def _figures(self, account: PieceAccount, scale: float | None) -> str:
        """Write size and volume as they are on the hold, or in the file's units before it is."""
        if account.problem:
            return account.problem
        if scale is None:
            sides = " x ".join(f"{side:.3g}" for side in account.size)
            return typeset(f"{sides}, file units")
        sides_mm = [side * scale for side in account.size]
        if self._unit == "mm":
            # Shortly: to the millimetre, or to a tenth below ten.
            written = [f"{side:.{0 if side >= 10.0 else 1}f}" for side in sides_mm]
        else:
            written = [f"{side / MILLIMETRES['inch']:.2f}" for side in sides_mm]
        size = typeset(f"{' x '.join(written)} {'mm' if self._unit == 'mm' else 'in'}")
        volume = account.volume
        return size if volume is None else f"{size},  {volume_text(volume * scale**3, self._unit)}"

    def _point(self) -> None:
        self._list.heat(self._pieces.pointed)
        current = self._list.currentItem()
        if (current.text() if current is not None else "") != self._pieces.chosen:
            self._list.go_to(self._pieces.chosen)

    def _choose(self, item: QListWidgetItem | None) -> None:
        self._pieces.choose(item.text() if item is not None else "")

    def _tick(self, name: str) -> None:
        if name in self._strangers:
            self.requested.emit(without(self._names, name, []))
        else:
            self._pieces.toggle(name)

    def _add_typed(self) -> None:
        name = self.typed_line.text().strip()
        self.typed_line.clear()
        if name and name not in self._names:
            self.requested.emit((*self._names, name))
