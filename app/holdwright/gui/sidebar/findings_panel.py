"""The list of findings beneath the route card."""

from typing import Final

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.step_texts import missing_input, title_of
from holdwright.gui.sidebar.finding_line import GRAVEST, FindingLine
from holdwright.gui.sidebar.step_state import shop_numbers
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import ScrollArea, TextLabel, clear, column, row
from holdwright.gui.widgets.number_format import Preferred, counted, in_unit, severity_counts
from holdwright.hold.finding import Finding

Found = tuple[str, Finding, bool]
"""Step's id, finding, and whether it may no longer be true."""


class FindingsList(QWidget):
    """Findings, the gravest first; notes are hidden.

    Signals
    -------
    chosen
        A finding was clicked: its step's id, and it.
    """

    chosen = Signal(str, object)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._unit: Preferred = "mm"
        self._shown: tuple[Found, ...] | None = None
        self._notes_open = False
        self.setAccessibleName("Findings")
        self.headline = TextLabel("", self, bold=True)
        self.headline.setContentsMargins(style.MARGIN, 0, style.MARGIN, 0)
        self.notes_button = QuietButton("", self, icon_name="chevron-right", clicked=self._toggle_notes)
        self._list = QWidget()
        self._notes_row = QWidget(self._list)
        row(self.notes_button, None, on=self._notes_row, margins=(style.GAP, 0, 0, 0))
        self._lines = column(on=self._list, gap=1)
        self._scroll = FittingScroll(self._list, self)
        margins = (0, style.GAP, 0, style.GRID)
        column(self.headline, self._scroll, on=self, margins=margins, gap=style.GRID)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        for signal in (document.opened, document.recipe_changed, document.step_shown, document.busy_changed):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show what the steps found. While work goes on, what may have passed stays, fainter."""
        found = self._found()
        self.headline.setText(self._headline_text(found))
        self.setVisible(bool(self._document.recipe.steps))
        if found != self._shown:
            self._shown = found
            self._fill()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        if unit != self._unit:
            self._unit = unit
            self._fill()

    def _found(self) -> tuple[Found, ...]:
        found: list[Found] = []
        for step in self._document.recipe.steps:
            shown = self._document.step(step.id) if step.enabled else None
            current = self._document.is_current(step.id)
            if shown is not None and (current or self._document.busy):
                found += [(step.id, finding, not current) for finding in shown.findings]
        return tuple(sorted(found, key=lambda each: GRAVEST.index(each[1].severity)))

    def _headline_text(self, found: tuple[Found, ...]) -> str:
        document = self._document
        looks = severity_counts(finding.severity for _, finding, _ in found)
        failed = self._failed_step()
        waits = next((step for step in document.recipe.steps if missing_input(step)), None)
        if failed:
            looks.insert(0, f"Stopped at {failed}")
        elif waits is not None:
            looks.insert(0, f"{title_of(waits.operation)} needs a click")
        steps = document.recipe.steps
        done = steps and all(document.is_current(step.id) for step in steps)
        return ", ".join(looks) or ("No warnings" if done else "No warnings yet")

    def _failed_step(self) -> str:
        for step in self._document.recipe.steps:
            shown = self._document.step(step.id)
            if shown is not None and shown.failed and self._document.is_current(step.id):
                return title_of(step.operation)
        return ""

    def _fill(self) -> None:
        found = self._shown or ()
        clear(self._lines, self._notes_row)
        steps = self._document.recipe.steps
        numbers = shop_numbers(steps)
        notes = [each for each in found if each[1].severity == "note"]
        for each in found:
            if each[1].severity != "note":
                self._lines.addWidget(self._line(numbers[each[0]], each))
        self._lines.addWidget(self._notes_row)
        self._notes_row.setVisible(bool(notes))
        words = counted(len(notes), "note")
        icon = "chevron-down" if self._notes_open else "chevron-right"
        self.notes_button.set_words(words, icon_name=icon)
        self.notes_button.setToolTip("Hide the notes" if self._notes_open else "Show the notes")
        self.notes_button.setAccessibleName(f"{words}, {'shown' if self._notes_open else 'hidden'}")
        for each in notes if self._notes_open else ():
            self._lines.addWidget(self._line(numbers[each[0]], each))
        self._scroll.setVisible(bool(found))
        self._scroll.updateGeometry()

    def _line(self, number: str, found: Found) -> FindingLine:
        step_id, finding, stale = found
        line = FindingLine(number, finding, lambda text: in_unit(text, self._unit), self._list, stale=stale)
        line.clicked.connect(lambda: self.chosen.emit(step_id, finding))
        line.show()
        return line

    def _toggle_notes(self) -> None:
        self._notes_open = not self._notes_open
        self._fill()


class FittingScroll(ScrollArea):
    """Takes the height of what is in it, up to a share of the window; beyond that it scrolls."""

    SHARE: Final = 0.35

    def __init__(self, content: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(content, parent)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the height of the content, within the share."""
        content = self.widget()
        if content is None:
            return super().sizeHint()
        layout = content.layout()
        width = self.viewport().width()
        height = layout.heightForWidth(width) if layout and layout.hasHeightForWidth() else -1
        height = height if height >= 0 else content.sizeHint().height()
        most = round(self.window().height() * self.SHARE)
        return QSize(super().sizeHint().width(), min(height, max(most, style.ROW)))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Never less than a row."""
        return QSize(0, min(style.ROW, self.sizeHint().height()))
