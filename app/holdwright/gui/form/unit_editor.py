"""The unit of the sculpt's numbers: a choice, and beneath it what the file says or what is likely."""

from typing import Any, get_args

from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.form.choice_editors import ListEditor, ListEntry
from holdwright.gui.form.editor import Editor
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.number_format import Preferred, in_unit
from holdwright.parameters.describe import FieldDescription
from holdwright.pipeline.views.display_results import ShownSculpt
from holdwright.units import MILLIMETRES, LengthUnit, guess_unit, guess_words

BY_FILE = "as the file says"


class UnitEditor(Editor):
    """Offers the file's own unit, or a guess with its reason; applies neither by itself.

    Parameters
    ----------
    unit
        Lengths are shown in it.
    """

    wide = True

    def __init__(
        self, field: FieldDescription, document: Document, unit: Preferred, parent: QWidget | None = None
    ) -> None:
        super().__init__(field, parent)
        self._document = document
        self._unit: Preferred = unit
        self._value: object = None
        self._offered = ""
        self._choice = ListEditor(
            field, [[ListEntry(choice, str(choice)) for choice in field.choices]], wide=False, parent=self
        )
        self._choice.requested.connect(self.requested)
        self._keyboard = self._choice.keyboard_widget()
        self.words = TextLabel("", self, wrap=True, faint=True)
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.use_button = QuietButton("Use", self, clicked=lambda: self.requested.emit(self._offered))
        beneath = row((self.words, 1), self.use_button, gap=style.GAP)
        column(self._choice, beneath, on=self, gap=style.GRID)
        document.sculpt_shown.connect(self._offer)
        self._offer()

    def show_value(self, value: Any) -> None:
        """Show which unit is chosen."""
        self._value = value
        self._choice.show_value(value)
        self._offer()

    def close_down(self) -> None:
        """Hear of the document no longer."""
        self._document.sculpt_shown.disconnect(self._offer)

    def _offer(self) -> None:
        """Say what is known of the sculpt's unit, and offer it where it is not chosen."""
        sculpt = self._document.sculpt
        words, self._offered = _known(sculpt) if sculpt is not None else ("", "")
        self.words.show_words(in_unit(words, self._unit))
        self.use_button.setText("Use it" if self._offered == BY_FILE else f"Use {self._offered}")
        self.use_button.setToolTip(f"Set the unit to {self._offered}; nothing changes until you click")
        self.use_button.setAccessibleName(f"Use the unit {self._offered}")
        self.use_button.setVisible(bool(self._offered) and self._offered != self._value)


def _known(sculpt: ShownSculpt) -> tuple[str, str]:
    """Give words on a sculpt's unit, and the choice they lead to; blank for none."""
    extent = sculpt.extent
    stated = next((unit for unit in get_args(LengthUnit) if unit == sculpt.unit), None)
    if stated is not None:
        across = extent * MILLIMETRES[stated]
        return f"The file says {stated}, which makes it {across:.4g} mm across", BY_FILE
    guess = guess_unit(extent)
    if guess is None:
        return f"{extent:.4g} across: no unit gives the size of a hold", ""
    return guess_words(extent, guess), guess
