"""The footer of the export page: the button of each state, progress, and what went wrong."""

import itertools
from collections.abc import Mapping
from typing import Final, Literal

from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.progress_line import ProgressLine

State = Literal["choosing", "asking", "writing", "written"]

_BUTTONS: Final[Mapping[State, tuple[str, ...]]] = {
    "choosing": ("write",),
    "asking": ("cancel", "replace"),
    "writing": ("stop",),
    "written": ("folder", "again"),
}
"""The buttons of each state; the first has the keyboard."""


class ExportFooter(QWidget):
    """Shows one state at a time; what its buttons do is the page's."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._failure = TextLabel("", self, wrap=True, tint="error")
        self._failure.setContentsMargins(0, 0, 0, 0)
        self._failure.setMargin(style.GAP)
        self._failure.hide()
        self._line = ProgressLine(self)
        self._words = TextLabel("", self, wrap=True)
        self._words.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self.write_button = self._button("Write files", "Write the files listed above", primary=True)
        self.again_button = self._button("Write again", "Write the files once more")
        self.replace_button = self._button("Replace", "Replace the files in the folder", primary=True)
        self.cancel_button = self._button("Cancel", "Leave the files as they are")
        self.stop_button = self._button("Stop", "Stop writing; the folder stays as it was")
        self.folder_button = self._button("Open folder", "Show the files in the desktop's file window", True)
        self._lay_out()

    @property
    def words(self) -> str:
        """The sentence beside the buttons."""
        return self._words.text() if self._words.isVisibleTo(self) else ""

    @property
    def failure(self) -> str:
        """Why nothing was written; blank when nothing went wrong."""
        return self._failure.text() if self._failure.isVisibleTo(self) else ""

    def show_state(self, state: State, missing: str, existing: int) -> None:
        """Show the buttons of a state.

        Parameters
        ----------
        missing
            What still has to be chosen, in words; blank for nothing.
        existing
            How many files would be replaced.
        """
        had_focus = self.isAncestorOf(self.focusWidget()) if self.focusWidget() else False
        for name in itertools.chain(*_BUTTONS.values()):
            self._named(name).setVisible(name in _BUTTONS[state])
        self.write_button.setEnabled(not missing)
        self._line.setVisible(state == "writing")
        self._line.set_working(state == "writing")
        words = {"choosing": missing, "asking": _replace_sentence(existing), "writing": "Writing"}
        self._words.setText(words.get(state, ""))
        self._words.setVisible(bool(self._words.text()))
        if had_focus:
            self._named(_BUTTONS[state][0]).setFocus()
        self.update()

    def show_report(self, fraction: float, text: str) -> None:
        """Show how far the writing is."""
        self._line.set_fraction(fraction)
        self._words.setText(f"{text[:1].upper()}{text[1:]}, {fraction:.0%}" if text else f"{fraction:.0%}")

    def show_failure(self, sentence: str) -> None:
        """Show why nothing was written; blank to put that away."""
        self._failure.setText(sentence)
        self._failure.setAccessibleName(sentence)
        self._failure.setVisible(bool(sentence))

    def _named(self, name: str) -> QuietButton:
        button: QuietButton = getattr(self, f"{name}_button")
        return button

    def _button(self, text: str, tooltip: str, primary: bool = False) -> QuietButton:
        return QuietButton(text, self, primary=primary, tip=tooltip)

    def _lay_out(self) -> None:
        wide = (self.write_button, self.replace_button, self.folder_button)
        for button in wide:
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        buttons = row(*wide, self.again_button, self.cancel_button, gap=style.GAP)
        sentence = row((self._words, 1), self.stop_button, gap=style.GAP)
        column(self._line, self._failure, sentence, buttons, on=self, gap=style.GAP)


def _replace_sentence(count: int) -> str:
    if count == 1:
        return "One file exists already. Replace it?"
    return f"{count} files exist already. Replace them?"
