"""The footer of the export page: the button of each state, progress, and what went wrong."""

from collections.abc import Callable, Mapping
from typing import Final, Literal

from PySide6.QtWidgets import QApplication, QSizePolicy, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column, row
from holdwright.gui.widgets.number_format import breakable
from holdwright.gui.widgets.progress_line import ProgressLine, progress_text

State = Literal["choosing", "asking", "writing", "written"]

_BUTTONS: Final[Mapping[State, tuple[str, ...]]] = {
    "choosing": ("write",),
    "asking": ("cancel", "replace"),
    "writing": ("stop",),
    "written": ("folder", "again"),
}
"""The buttons of each state; the first has the keyboard."""

_TEXTS: Final = {
    "write": ("Write files", "Write the files listed above"),
    "replace": ("Replace", "Replace the files in the folder"),
    "folder": ("Open folder", "Show the files in the desktop's file window"),
    "again": ("Write again", "Write the files once more"),
    "cancel": ("Cancel", "Leave the files as they are"),
    "stop": ("Stop", "Stop writing; the folder stays as it was"),
    "copy": ("Copy path", "Put the folder's path on the clipboard"),
}
_PRIMARY: Final = ("write", "replace", "folder")


class ExportFooter(QWidget):
    """Shows one state at a time.

    Parameters
    ----------
    commands
        What each button does, by name.

    Attributes
    ----------
    words, failure
        The sentence beside the buttons; why nothing was written. Blank for none.
    """

    def __init__(self, commands: Mapping[str, Callable[[], None]], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.failure = TextLabel("", self, wrap=True, tint="error")
        self.failure.setContentsMargins(0, 0, 0, 0)
        self.failure.setMargin(style.GAP)
        self.failure.hide()
        self._line = ProgressLine(self)
        self.words = TextLabel("", self, wrap=True)
        self.words.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self.buttons = {
            name: QuietButton(text, self, primary=name in _PRIMARY, tip=tip, clicked=commands[name])
            for name, (text, tip) in _TEXTS.items()
        }
        self._first = self.buttons["write"]
        self._lay_out()

    def show_state(self, state: State, missing: str, existing: int) -> None:
        """Show the buttons of a state.

        Parameters
        ----------
        missing
            What still has to be chosen, in words; blank for nothing.
        existing
            How many files would be replaced.
        """
        # Its own `focusWidget` would be what last had the keyboard here, though it is elsewhere by now.
        focus = QApplication.focusWidget()
        had_focus = focus is not None and self.isAncestorOf(focus)
        for name, button in self.buttons.items():
            button.setVisible(name in _BUTTONS[state])
        for name in ("write", "replace", "again"):
            self.buttons[name].setEnabled(not missing)
        self._line.setVisible(state == "writing")
        self._line.set_working(state == "writing")
        one = "One file exists already. Replace it?"
        some = one if existing == 1 else f"{existing} files exist already. Replace them?"
        words = {"choosing": missing, "asking": some, "writing": "Writing"}
        self.words.show_words(words.get(state, ""))
        self._first = self.buttons[_BUTTONS[state][0]]
        if had_focus:
            self.take_keyboard()
        self.update()

    def take_keyboard(self) -> None:
        """Give the keyboard to the first button shown."""
        self._first.setFocus()

    def show_report(self, fraction: float, text: str) -> None:
        """Show how far the writing is."""
        self._line.set_fraction(fraction)
        self.words.setText(progress_text(fraction, text))

    def show_place(self, folder: str) -> None:
        """Say where the files are: not every desktop tells whether it could open their folder."""
        self.words.show_words(breakable(f"The files are in {folder}, should no window open."))
        self.buttons["copy"].show()

    def _lay_out(self) -> None:
        for name in _PRIMARY:
            self.buttons[name].setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        *buttons, stop, copy = self.buttons.values()
        sentence = row((self.words, 1), stop, copy, gap=style.GAP)
        column(self._line, self.failure, sentence, row(*buttons, gap=style.GAP), on=self, gap=style.GAP)
