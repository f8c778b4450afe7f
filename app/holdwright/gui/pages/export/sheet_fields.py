"""Whether a work sheet is written, and how: fields of the export page."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.form.choice_editors import ChoiceWords
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import CheckBox, QuietButton
from holdwright.gui.widgets.layout import column, row
from holdwright.sheet.choice import SheetChoice

_PAPER = {"a4": ("A4", "210 x 297 mm", "Paper A4"), "letter": ("Letter", "8.5 x 11 in", "Paper letter")}
_KIND = {"pdf": ("PDF", "Two pages to print", "Work sheet as PDF"), "html": ("HTML", "One page", "As HTML")}


class SheetFields(QWidget):
    """A box, and beneath it paper, kind and preview.

    Signals
    -------
    changed
        Another choice was made.
    preview_requested
        The sheet is to be shown.
    """

    changed = Signal()
    preview_requested = Signal()

    def __init__(self, choice: SheetChoice | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        tip = "Views with dimensions, settings, hardware, order of work and findings, for the shop"
        self.box = CheckBox("Work sheet", self, tip)
        self.box.setChecked(choice is not None)
        self.paper_words, self.kind_words = ChoiceWords(_PAPER, self), ChoiceWords(_KIND, self)
        usual = choice or SheetChoice()
        self.paper_words[usual.paper].setChecked(True)
        self.kind_words[usual.ending].setChecked(True)
        self.preview_button = QuietButton(
            "Preview", self, tip="Show the sheet as it will be written", clicked=self.preview_requested
        )
        line = row(self.paper_words, self.kind_words, None, self.preview_button, gap=style.GAP)
        column(self.box, line, on=self, gap=style.GRID)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.box.toggled.connect(self._change)
        for words in (self.paper_words, self.kind_words):
            words.chosen.connect(self._change)
        self._change()

    @property
    def wanted(self) -> SheetChoice:
        """Paper and kind, whether one is written or not."""
        paper = next(name for name, word in self.paper_words.words.items() if word.isChecked())
        kind = next(name for name, word in self.kind_words.words.items() if word.isChecked())
        return SheetChoice(paper, kind)

    @property
    def choice(self) -> SheetChoice | None:
        """The sheet to be written; None for none."""
        return self.wanted if self.box.isChecked() else None

    def _change(self, *_: object) -> None:
        for words in (self.paper_words, self.kind_words):
            words.setEnabled(self.box.isChecked())
        self.changed.emit()
