"""The foot of the export page: one button, and in its place what is asked, done, or went wrong."""

from typing import Literal

from PySide6.QtCore import QEvent
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.palette import set_role, tones
from holdwright.gui.widgets.progress_line import ProgressLine


class Tinted(QLabel):
    """A sentence on a tint, for what went wrong."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWordWrap(True)
        self.setMargin(style.GAP)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the tint beneath the words."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(tones(self).error))
        painter.end()
        super().paintEvent(event)


class ExportFoot(QWidget):
    """Shows one state at a time; what its buttons do is the page's."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._failure = Tinted(self)
        self._failure.hide()
        self._line = ProgressLine(self)
        self._words = QLabel(self)
        self._words.setWordWrap(True)
        self.write_button = QuietButton("Write files", self, primary=True)
        self.write_button.setToolTip("Write the files listed above")
        self.again_button = QuietButton("Write again", self)
        self.again_button.setToolTip("Write the files once more")
        self.replace_button = QuietButton("Replace", self, primary=True)
        self.replace_button.setToolTip("Write over the files that are there")
        self.stay_button = QuietButton("Cancel", self)
        self.stay_button.setToolTip("Leave the files as they are")
        self.stop_button = QuietButton("Stop", self)
        self.stop_button.setToolTip("Give the writing up; the folder stays as it was")
        self.folder_button = QuietButton("Open the folder", self, primary=True)
        self.folder_button.setToolTip("Show the files in the desktop's own window")
        self._lay_out()

    @property
    def words(self) -> str:
        """The sentence beside the buttons."""
        return self._words.text() if self._words.isVisibleTo(self) else ""

    @property
    def failure(self) -> str:
        """Why nothing was written; blank when nothing went wrong."""
        return self._failure.text() if self._failure.isVisibleTo(self) else ""

    def show_state(
        self, state: Literal["choosing", "asking", "writing", "written"], missing: str, there_already: int
    ) -> None:
        """Show the buttons of a state.

        Parameters
        ----------
        missing
            What still has to be chosen, in words; blank for nothing.
        there_already
            How many files would be replaced.
        """
        had_focus = self.isAncestorOf(self.focusWidget()) if self.focusWidget() else False
        self.write_button.setVisible(state == "choosing")
        self.write_button.setEnabled(not missing)
        self.again_button.setVisible(state == "written")
        self.replace_button.setVisible(state == "asking")
        self.stay_button.setVisible(state == "asking")
        self.stop_button.setVisible(state == "writing")
        self.folder_button.setVisible(state == "written")
        self._line.setVisible(state == "writing")
        self._line.set_working(state == "writing")
        words = {
            "choosing": missing,
            "asking": _replace_sentence(there_already),
            "writing": "Writing",
            "written": "",
        }
        self._words.setText(words[state])
        self._words.setVisible(bool(words[state]))
        if had_focus:
            self._first_button(state).setFocus()
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

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Take another scheme's colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._dress()

    def _first_button(self, state: str) -> QuietButton:
        buttons = {"asking": self.stay_button, "writing": self.stop_button, "written": self.folder_button}
        return buttons.get(state, self.write_button)

    def _lay_out(self) -> None:
        self._words.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        row = QHBoxLayout()
        row.setSpacing(style.GAP)
        for button in (self.write_button, self.replace_button, self.folder_button):
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            row.addWidget(button)
        row.addWidget(self.again_button)
        row.addWidget(self.stay_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(style.GAP)
        column.addWidget(self._line)
        column.addWidget(self._failure)
        said = QHBoxLayout()
        said.setSpacing(style.GAP)
        said.addWidget(self._words, 1)
        said.addWidget(self.stop_button)
        column.addLayout(said)
        column.addLayout(row)
        self._dress()

    def _dress(self) -> None:
        set_role(self._words, QPalette.ColorRole.WindowText, tones(self).ink)


def _replace_sentence(count: int) -> str:
    if count == 1:
        return "One file is there already. Replace it?"
    return f"{count} files are there already. Replace them?"
