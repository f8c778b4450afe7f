"""The list of findings beneath the route card."""

from collections.abc import Callable, Iterable
from functools import partial
from typing import Final

from PySide6.QtCore import QEvent, QObject, QSize, QTimer, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication, QSizePolicy, QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.step_texts import missing_input, title_of
from holdwright.gui.sidebar.finding_line import OF_PRINT, FindingLine
from holdwright.gui.sidebar.step_state import shop_numbers
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.keyboard_order import reading_order
from holdwright.gui.widgets.layout import ScrollArea, clear, column, row
from holdwright.gui.widgets.number_format import Preferred, counted, in_unit, severity_counts
from holdwright.gui.widgets.painting import ResizeRule
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import sentence_of
from holdwright.hold.finding_rank import Rank, rank
from holdwright.printing.print_parameters import PrintParameters

SHARE: Final = 38
SHARES: Final = range(12, 81)
"""Percent of the window's height that findings take at most unless asked for; what may be asked for."""

NOTES: Final = ("", "note")
"""Stands for the notes among what is folded."""

Found = tuple[str, Finding, bool]
"""Step's id or name of the print's section, finding, and whether it may no longer be true."""


class FindingsList(QWidget):
    """Findings, the open step's first and the gravest before others; like ones are folded, notes hidden.

    Signals
    -------
    chosen
        A finding was clicked: its step's id, and it.
    reshaped
        The user folded it away or not, or gave it another percent of the window's height.
    """

    chosen = Signal(str, object)
    reshaped = Signal(bool, int)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._unit: Preferred = "mm"
        self._shown: tuple[Found, ...] | None = None
        self._unfolded: set[tuple[str, str]] = set()
        self._folded, self._share, self._focused = False, SHARE, ""
        self.setAccessibleName("Findings")
        self.rule = ResizeRule("Height of the findings", self)
        self.rule.moved.connect(self._resize)
        self.headline = QuietButton("", self, icon_name="chevron-down", clicked=self._toggle)
        self.headline.setFont(style.weighted(self.headline.font()))
        self.notes_button = QuietButton(
            "", self, icon_name="chevron-right", clicked=partial(self._unfold, NOTES)
        )
        self._list = QWidget()
        self._notes_row = QWidget(self._list)
        row(self.notes_button, None, on=self._notes_row, margins=(style.GAP, 0, 0, 0))
        self._lines = column(on=self._list, gap=1)
        self._scroll = FittingScroll(self._list, self._most, self)
        headline = row(self.headline, None, margins=(style.GRID, 0, 0, 0))
        column(self.rule, headline, self._scroll, on=self, margins=(0, 0, 0, style.GRID))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        for signal in (
            document.opened,
            document.recipe_changed,
            document.step_shown,
            document.print_checked,
            document.busy_changed,
            document.stopped_changed,
            document.selected_changed,
        ):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show what the steps found. What may have passed with a change stays, fainter, till it is known."""
        found = self._found()
        self._say(found)
        self.setVisible(bool(self._document.recipe.steps))
        if found != self._shown:
            new = _serious(found) - _serious(self._shown or ())
            self._shown = found
            self._fill()
            if new:  # the gravest come first: they must not come out of sight
                self._scroll.verticalScrollBar().setValue(0)

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        if unit != self._unit:
            self._unit = unit
            self._fill()

    def reshape(self, folded: bool, share: int) -> None:
        """Fold the list away or not, and let it take a percent of the window's height."""
        self._folded, self._share = folded, share
        self._say(self._shown or ())
        self._fit()

    def keyboard_path(self) -> list[QWidget]:
        """Give what the keyboard reaches, in order."""
        return reading_order(self, self._list)

    def show_first(self) -> None:
        """Unfold, and begin with the first: the open step's."""
        if self._folded:
            self._toggle()
        self._scroll.verticalScrollBar().setValue(0)

    def _found(self) -> tuple[Found, ...]:
        found: list[Found] = []
        for step in self._document.recipe.steps:
            shown = self._document.step(step.id) if step.enabled else None
            joint = self._document.joint_findings(step.id) if self._document.stopped else ()
            current = self._document.is_current(step.id)
            findings = shown.findings if shown is not None else ()
            found += [(step.id, finding, not current or finding in joint) for finding in findings]
        document = self._document
        for of_hold, current in (
            (document.print_findings, document.print_current),
            (document.strength_findings, document.strength_current),
        ):
            found += [(PrintParameters.name, finding, not current) for finding in of_hold]
        return tuple(sorted(found, key=self._rank))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Fold also by a click beside the headline's words."""
        super().mouseReleaseEvent(event)
        if self.headline.y() <= event.position().y() < self.headline.geometry().bottom():
            self._toggle()

    def _rank(self, found: Found) -> tuple[bool, Rank]:
        step_id, finding, _ = found
        return step_id != self._document.selected, rank(finding)

    def _say(self, found: tuple[Found, ...]) -> None:
        self.headline.set_words(
            self._headline_text(found), icon_name="chevron-right" if self._folded else "chevron-down"
        )
        self.headline.setToolTip("Show the findings" if self._folded else "Hide the findings")

    def _headline_text(self, found: tuple[Found, ...]) -> str:
        document = self._document
        looks = severity_counts(finding.severity for _, finding, _ in found)
        failed = next((step for step in document.recipe.steps if step.id == document.failed_step), None)
        waits = next((step for step in document.recipe.steps if missing_input(step)), None)
        if failed is not None:
            looks.insert(0, f"Stopped at {title_of(failed.operation)}")
        elif waits is not None:
            looks.insert(0, f"{title_of(waits.operation)} needs a click")
        steps = document.recipe.steps
        shaped = all(document.is_current(step.id) for step in steps)
        done = document.print_current and shaped
        if looks and any(stale and finding.severity != "note" for _, finding, stale in found):
            looks.append("as before")
        yet = "No warnings yet, print not checked" if shaped and not document.busy else "No warnings yet"
        before = "No warnings, as before" if document.stopped else yet
        return ", ".join(looks) or ("No warnings" if done else before)

    def _fill(self) -> None:
        found = self._shown or ()
        at = QApplication.focusWidget()
        self._focused = _words(at) if at is not None and self.isAncestorOf(at) else ""
        clear(self._lines, self._notes_row)
        notes = [each for each in found if each[1].severity == "note"]
        self._add_lines([each for each in found if each[1].severity != "note"])
        self._lines.addWidget(self._notes_row)
        self._notes_row.setVisible(bool(notes))
        opened = NOTES in self._unfolded
        words = counted(len(notes), "note")
        self.notes_button.set_words(words, icon_name="chevron-down" if opened else "chevron-right")
        self.notes_button.setToolTip("Hide the notes" if opened else "Show the notes")
        self.notes_button.setAccessibleName(f"{words}, {'shown' if opened else 'hidden'}")
        self._add_lines(notes if opened else [])
        self._fit()

    def _fit(self) -> None:
        """Take the room there is to be taken now."""
        self._scroll.setVisible(bool(self._shown) and not self._folded)
        self.rule.setEnabled(self._scroll.isVisibleTo(self))
        self._scroll.updateGeometry()

    def _add_lines(self, found: list[Found]) -> None:
        """Add a line for each finding, or one for several alike with these beneath it once unfolded."""
        numbers = {**shop_numbers(self._document.recipe.steps), PrintParameters.name: OF_PRINT}
        groups: dict[tuple[str, str], list[Found]] = {}
        for each in found:
            groups.setdefault((each[0], f"{each[1].code} {each[1].severity}"), []).append(each)
        for key, alike in groups.items():
            number = numbers[key[0]]
            if len(alike) > 1:
                sentence = sentence_of([finding for _, finding, _ in alike])
                self._add_line(number, alike[0], sentence).clicked.connect(partial(self._unfold, key))
            for each in alike if len(alike) == 1 or key in self._unfolded else ():
                self._add_line(number, each).clicked.connect(partial(self.chosen.emit, *each[:2]))

    def _add_line(self, number: str, found: Found, sentence: str = "") -> FindingLine:
        _, finding, stale = found
        told = partial(in_unit, preferred=self._unit)
        line = FindingLine(number, finding, told, self._list, stale=stale, sentence=sentence)
        self._lines.addWidget(line)
        line.show()
        if _words(line) == self._focused:
            # It was clicked or gone to by key, and stays so at its new place in the list.
            line.setFocus()
            QTimer.singleShot(0, line, lambda: self._scroll.ensureWidgetVisible(line, 0, 0))
        return line

    def _unfold(self, key: tuple[str, str], _on: bool = False) -> None:
        """Show what is folded under a line, or fold it again."""
        self._unfolded ^= {key}
        self._fill()

    def _toggle(self) -> None:
        self.reshape(not self._folded, self._share)
        self.reshaped.emit(self._folded, self._share)

    def _resize(self, up: int) -> None:
        """Take so many pixels more from the route card."""
        share = round(100 * (self.height() + up) / max(self.window().height(), 1))
        self.reshape(False, min(max(share, SHARES[0]), SHARES[-1]))
        self.reshaped.emit(False, self._share)

    def _most(self) -> int:
        """Give how high the list may be, pixels: headline and rule are part of the share."""
        others = self.rule.sizeHint().height() + self.headline.sizeHint().height() + style.GRID
        return self.window().height() * self._share // 100 - others


def _serious(found: Iterable[Found]) -> set[tuple[str, str]]:
    """Give what of some findings is no note, by step and kind."""
    return {(step_id, finding.code) for step_id, finding, _ in found if finding.severity != "note"}


def _words(widget: QWidget) -> str:
    """Give what a widget is told apart by."""
    return f"{widget.accessibleName()} {widget.accessibleDescription()}"


class FittingScroll(ScrollArea):
    """Takes the height of what is in it, up to what `most` gives; beyond that it scrolls."""

    def __init__(self, content: QWidget, most: Callable[[], int], parent: QWidget | None = None) -> None:
        super().__init__(content, parent, follows=True)
        self._most = most
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Take another height whenever the content has changed, also later than it was asked for."""
        done = super().eventFilter(watched, event)
        if event.type() == QEvent.Type.LayoutRequest and watched is self.widget():
            self.updateGeometry()
        return done

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the height of the content, within the most."""
        content = self.widget()
        if content is None:
            return super().sizeHint()
        layout = content.layout()
        width = self.viewport().width()
        height = layout.heightForWidth(width) if layout and layout.hasHeightForWidth() else -1
        height = height if height >= 0 else content.sizeHint().height()
        return QSize(super().sizeHint().width(), min(height, max(self._most(), style.ROW)))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Never less than a row."""
        return QSize(0, min(style.ROW, self.sizeHint().height()))
