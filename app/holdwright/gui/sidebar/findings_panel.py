"""The list of findings beneath the route card."""

from collections import Counter
from dataclasses import replace
from typing import Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.missing_input import missing_input
from holdwright.gui.document.titles import title_of
from holdwright.gui.sidebar.finding_line import FindingLine
from holdwright.gui.sidebar.step_state import shop_numbers
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.length_text import in_unit
from holdwright.gui.widgets.number_format import Preferred
from holdwright.gui.widgets.scroll_bar import ScrollBar
from holdwright.hold.finding import Finding

Met = tuple[str, Finding, bool]
"""Step's id, finding, and whether it may no longer be true."""

_GRAVEST: Final = {"error": 0, "warning": 1, "note": 2}


class FindingsList(QWidget):
    """Findings, the gravest first; notes are hidden.

    Signals
    -------
    chosen
        A finding was clicked: its step's id, and it.
    """

    chosen = Signal(str, object)

    def __init__(self, document: Document, unit: Preferred = "mm", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._unit: Preferred = unit
        self._shown: tuple[Met, ...] | None = None
        self._notes_open = False
        self.setAccessibleName("Findings")
        self.headline = QLabel(self)
        self.headline.setContentsMargins(style.MARGIN, 0, style.MARGIN, 0)
        font = QFont(self.headline.font())
        font.setWeight(QFont.Weight.DemiBold)
        self.headline.setFont(font)
        self.notes_button = QuietButton("", self, icon_name="chevron-right")
        self.notes_button.clicked.connect(self._toggle_notes)
        self._list = QWidget()
        self._notes_row = QWidget(self._list)
        row = QHBoxLayout(self._notes_row)
        row.setContentsMargins(style.GAP, 0, 0, 0)
        row.addWidget(self.notes_button)
        row.addStretch(1)
        self._lines = QVBoxLayout(self._list)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(1)
        self._scroll = FittingScroll(self)
        self._scroll.setWidget(self._list)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, style.GAP, 0, style.GRID)
        column.setSpacing(style.GRID)
        column.addWidget(self.headline)
        column.addWidget(self._scroll)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        for signal in (document.opened, document.recipe_changed):
            signal.connect(self.refresh)
        document.step_shown.connect(lambda _id: self.refresh())
        document.busy_changed.connect(lambda _busy: self.refresh())
        self.refresh()

    def refresh(self) -> None:
        """Show what the steps found. While work goes on, what may have passed stays, fainter."""
        met = self._met()
        self.headline.setText(self._headline_text(met))
        self.setVisible(bool(self._document.recipe.steps))
        if met != self._shown:
            self._shown = met
            self._fill()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        if unit != self._unit:
            self._unit = unit
            self._fill()

    def _met(self) -> tuple[Met, ...]:
        found: list[Met] = []
        for step in self._document.recipe.steps:
            shown = self._document.step(step.id) if step.enabled else None
            current = self._document.is_current(step.id)
            if shown is not None and (current or self._document.busy):
                found += [(step.id, finding, not current) for finding in shown.findings]
        return tuple(sorted(found, key=lambda each: _GRAVEST[each[1].severity]))

    def _headline_text(self, met: tuple[Met, ...]) -> str:
        counts = Counter(finding.severity for _, finding, _ in met)
        failed = self._failed_step()
        looks = ", ".join(
            f"{counts[each]} {each}{'' if counts[each] == 1 else 's'}"
            for each in ("error", "warning")
            if counts[each]
        )
        waits = next((step for step in self._document.recipe.steps if missing_input(step)), None)
        if waits is not None and not failed:
            return ", ".join(filter(None, (f"{title_of(waits.operation)} needs a click", looks)))
        if failed:
            return ", ".join(filter(None, (f"Stopped at {failed}", looks)))
        if looks:
            return looks
        done = self._document.recipe.steps and all(
            self._document.is_current(step.id) for step in self._document.recipe.steps
        )
        return "No warnings" if done else "No warnings yet"

    def _failed_step(self) -> str:
        for step in self._document.recipe.steps:
            shown = self._document.step(step.id)
            if shown is not None and shown.failed and self._document.is_current(step.id):
                return title_of(step.operation)
        return ""

    def _fill(self) -> None:
        met = self._shown or ()
        while (item := self._lines.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None and widget is not self._notes_row:
                widget.hide()
                widget.deleteLater()
        steps = self._document.recipe.steps
        numbers = dict(zip((step.id for step in steps), shop_numbers(steps), strict=True))
        notes = [each for each in met if each[1].severity == "note"]
        for each in met:
            if each[1].severity != "note":
                self._lines.addWidget(self._line(numbers[each[0]], each))
        self._lines.addWidget(self._notes_row)
        self._notes_row.setVisible(bool(notes))
        words = f"{len(notes)} note{'' if len(notes) == 1 else 's'}"
        self.notes_button.setText(words)
        self.notes_button.setAccessibleName(f"{words}, {'shown' if self._notes_open else 'hidden'}")
        self.notes_button.setToolTip("Hide the notes" if self._notes_open else "Show the notes")
        self.notes_button.set_icon("chevron-down" if self._notes_open else "chevron-right")
        for each in notes if self._notes_open else ():
            self._lines.addWidget(self._line(numbers[each[0]], each))
        self._scroll.setVisible(bool(met))
        self._scroll.updateGeometry()

    def _line(self, number: str, met: Met) -> FindingLine:
        step_id, finding, stale = met
        message, advice = (in_unit(text, self._unit) for text in (finding.message, finding.advice))
        told = replace(finding, message=message, advice=advice)
        line = FindingLine(number, told, stale=stale, parent=self._list)
        line.clicked.connect(lambda: self.chosen.emit(step_id, finding))
        line.show()
        return line

    def _toggle_notes(self) -> None:
        self._notes_open = not self._notes_open
        self._fill()


class FittingScroll(QScrollArea):
    """Takes the height of what is in it, up to a share of the window; beyond that it scrolls."""

    SHARE: Final = 0.35

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setVerticalScrollBar(ScrollBar(self))
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

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
