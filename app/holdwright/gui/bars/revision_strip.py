"""The strip above the view that says what another sculpt changed, and opens to old and new figures."""

from typing import Final

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QGridLayout, QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.step_texts import title_of
from holdwright.gui.form.slider import Slider
from holdwright.gui.handles.step_presenter import GHOST
from holdwright.gui.sidebar.finding_line import WORDS
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import ElidedLabel, ScrollArea, TextLabel, clear, column, row
from holdwright.gui.widgets.number_format import Preferred, in_unit, typeset
from holdwright.gui.widgets.painting import RIGHT, Paper
from holdwright.hold.finding_rank import ranked
from holdwright.pipeline.views.comparison import Comparison, Found
from holdwright.printing.print_parameters import PrintParameters

TALLEST: Final = 240
"""Pixels that figures and findings take at most; more is scrolled."""

HEADINGS: Final = ("", "before", "now", "change")


class RevisionStrip(Paper):
    """There from the end of a replay on another sculpt to the next edit, or until it is dismissed.

    Attributes
    ----------
    details, distance, old
        Buttons: for figures and findings; for the distance from the old hold, in colours; for that itself.
    swipe
        Button, while the old hold is shown: it at the left of a line, the new one at the right.
    blend
        How much the old hold, while it is shown, hides the new one; swiped, how much of the width is its.
    """

    old_wanted = Signal(bool)
    """The old hold is to be shown, or no longer."""
    distance_wanted = Signal(bool)
    """The new hold is to be coloured by its distance from the old one, or no longer."""
    swipe_wanted = Signal(bool)
    """The old hold is to be shown beside the new one, or over it again."""
    share_changed = Signal(float)
    """How much the old hold hides the new one, 0 to 1, or how much of the width is its."""

    edge = "bottom"

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._unit: Preferred = "mm"
        self._words = ElidedLabel(self)
        self._words.gives_way = Qt.TextElideMode.ElideRight
        self.details = QuietButton("Details", self, tip="Show figures and findings, before and now")
        self.old = QuietButton("Old hold", self, tip="Show the old hold over the new one")
        self.distance = QuietButton(
            "Distance", self, tip="Colour the hold by its distance from the old one: what came and what went"
        )
        self.swipe = QuietButton(
            "Swipe",
            self,
            tip="Old hold at the left of a line, new one at the right; the slider moves the line",
        )
        self.blend = Slider("Old over new", "Let the old hold hide the new one less or more", self)
        self.blend.setValue(round(100 * GHOST))
        self.away = QuietButton("Dismiss", self, clicked=document.revision.dismiss)
        for button in (self.details, self.distance, self.old, self.swipe):
            button.setCheckable(True)
        inner = QWidget()
        self._figures = QGridLayout()
        self._figures.setHorizontalSpacing(style.MARGIN)
        self._findings = TextLabel("", inner, wrap=True, selectable=True)
        margins = (style.MARGIN, 0, style.MARGIN, style.GAP)
        rows = row(self._figures, None), self._findings, None
        self._rows = column(*rows, on=inner, margins=margins, gap=style.GAP)
        self._inner, self._opened = inner, ScrollArea(inner, self)
        buttons = self.details, self.distance, self.old, self.swipe, self.blend, self.away
        head = row((self._words, 1), *buttons, margins=(style.MARGIN, 0, style.GRID, 0), gap=style.GRID)
        column(head, self._opened, on=self, margins=(0, 0, 0, 1))
        self.setAccessibleName("What the other sculpt changed")
        self.details.toggled.connect(self._open)
        self.old.toggled.connect(self.old_wanted)
        self.old.toggled.connect(self._show_old)
        self.swipe.toggled.connect(self._swipe)
        self.distance.toggled.connect(self.distance_wanted)
        self.blend.valueChanged.connect(lambda value: self.share_changed.emit(value / 100.0))
        document.revision.changed.connect(self.refresh)
        document.revision.completed.connect(self._complete)
        self.refresh()

    @property
    def words(self) -> str:
        """Its sentence; blank while it is hidden."""
        return "" if self.isHidden() else self._words.whole

    @property
    def table(self) -> list[tuple[str, ...]]:
        """Its figures, line by line, headings first."""
        grid = self._figures
        cells = [item.widget() for number in range(grid.count()) if (item := grid.itemAt(number))]
        texts = [cell.text() if isinstance(cell, TextLabel) else "" for cell in cells]
        return [tuple(texts[n : n + len(HEADINGS)]) for n in range(0, len(texts), len(HEADINGS))]

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self._unit = unit
        self._write()

    def drop_distance(self, other: object) -> None:
        """Show the hold without its distances where other colours are shown on it."""
        if other:
            self.distance.setChecked(False)

    def refresh(self) -> None:
        """Come with a comparison, folded and without the old hold; go with it."""
        self.details.setChecked(False)
        self.old.setChecked(False)
        self.distance.setChecked(False)
        self._show_old(False)
        old = self._document.revision.outside
        for button in (self.old, self.distance):
            button.setEnabled(bool(old and old.solids))
        self._open(False)
        self._write()
        self.setVisible(self._document.revision.comparison is not None)

    def _show_old(self, shown: bool) -> None:
        self.swipe.setChecked(False)
        self.swipe.setVisible(shown)
        self.blend.setVisible(shown)

    def _swipe(self, swiped: bool) -> None:
        """Begin in the middle, or with the ghost as it is at first."""
        self.swipe_wanted.emit(swiped)
        self.blend.setValue(50 if swiped else round(100 * GHOST))

    def _complete(self) -> None:
        """Tell the findings of the print too, which come later."""
        self._write()
        if self.details.isChecked():
            # What is written anew has no height before it is laid out.
            QTimer.singleShot(0, self, lambda: self._open(self.details.isChecked()))

    def _write(self) -> None:
        comparison, path = self._document.revision.comparison, self._document.sculpt_path
        clear(self._figures)
        if comparison is None or path is None:
            return
        self._words.show_text(f"{path.stem}: {self._set(comparison.sentence)}")
        rows = [HEADINGS, *((each.name.capitalize(), *each.written) for each in comparison.figures)]
        for line, cells in enumerate(rows):
            for place, text in enumerate(cells):
                label = TextLabel(self._set(text), self._inner, faint=line == 0 or place == 0)
                label.setAlignment(RIGHT if place else label.alignment())
                self._figures.addWidget(label, line, place)
        self._findings.show_words("\n".join(self._found(comparison)))

    def _found(self, comparison: Comparison) -> list[str]:
        """Write each finding gained or lost with the step that found it, the gravest first."""
        told: tuple[tuple[str, tuple[Found, ...]], ...]
        told = ("gained", comparison.gained), ("lost", comparison.lost)
        steps = {step.id: title_of(step.operation) for step in self._document.recipe.steps}
        steps[PrintParameters.name] = PrintParameters.title
        return [
            self._set(f"{WORDS[finding.severity]} {verb}, {steps.get(step_id, step_id)}: {finding.message}")
            for verb, found in told
            for step_id, finding in ranked(found, of=lambda each: each[1])
        ]

    def _set(self, text: str) -> str:
        return typeset(in_unit(text, self._unit))

    def _open(self, opened: bool) -> None:
        self._opened.setVisible(opened)
        # Without findings nothing in it wraps, and no height follows from its width.
        # While it was folded nobody laid it out: it would still have the height of before its rows came.
        self._rows.invalidate()
        self._rows.activate()
        wrapped = self._inner.heightForWidth(self.width())
        tall = wrapped if wrapped > 0 else self._inner.sizeHint().height()
        self._opened.setFixedHeight(min(tall, TALLEST))
