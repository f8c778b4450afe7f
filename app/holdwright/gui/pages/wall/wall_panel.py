"""Beside the wall: the chosen hold, what still hangs nowhere, and what is wrong."""

from collections.abc import Callable
from functools import partial
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from holdwright.gui.document.wall_work import WallWork
from holdwright.gui.pages.page import paragraph
from holdwright.gui.pages.wall.grid_fields import GridFields
from holdwright.gui.pages.wall.wall_view import TURN, WallView
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.fold import Fold
from holdwright.gui.widgets.layout import ElidedLabel, TextLabel, clear, column, row
from holdwright.gui.widgets.number_format import Preferred, breakable, held_together, in_unit, typeset
from holdwright.hold.finding import Finding
from holdwright.printable import printable

MOST: Final = 40
"""Findings that are listed."""


class WallPanel(QWidget):
    """Says what is chosen, lists what to hang and the findings.

    Signals
    -------
    set_requested
        The folder of a finished set is to be chosen.
    """

    set_requested = Signal()

    def __init__(self, work: WallWork, view: WallView, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._work, self._view = work, view
        self._unit: Preferred = "mm"
        self._listed: tuple[object, ...] = ()
        self.setAccessibleName("Holds and findings")
        self._set = paragraph("", self, faint=True)
        self.set_button = QuietButton(
            "Choose the set...", self, tip="Choose the folder of a finished set", clicked=self.set_requested
        )
        self._chosen = TextLabel("", self, bold=True, wrap=True)
        self._where = paragraph("", self, faint=True)
        self.left_button = QuietButton(
            "Turn left", self, tip=f"By {TURN:g} degrees (,)", clicked=partial(view.turn, TURN)
        )
        self.right_button = QuietButton(
            "Turn right", self, tip=f"By {TURN:g} degrees (.)", clicked=partial(view.turn, -TURN)
        )
        self.remove_button = QuietButton(
            "Take off", self, tip="Take it off the wall (Delete)", clicked=view.take_off
        )
        self._to_hang, self._found = QVBoxLayout(), QVBoxLayout()
        self._to_hang_title = TextLabel("To hang", self, bold=True)
        self._found_title = TextLabel("Findings", self, bold=True)
        for layout, gap in ((self._to_hang, 0), (self._found, style.GRID)):
            layout.setContentsMargins(0, 0, 0, 0)
            layout.setSpacing(gap)
        self.grid = GridFields(work, self)
        self.grid_fold = Fold("Panels and T-nuts", self.grid, self)
        self.buttons: dict[str, QuietButton] = {}
        self.lines: list[WallFinding] = []
        turns = row(self.left_button, self.right_button, self.remove_button, None)
        column(
            *(self._set, row(self.set_button, None), self.grid_fold, style.GAP),
            *(self._chosen, self._where, turns, style.GAP),
            *(self._to_hang_title, self._to_hang, style.GAP, self._found_title, self._found, None),
            on=self,
            gap=style.GRID,
        )
        view.chosen.connect(lambda _number: self._show_chosen())

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self._unit, self._listed = unit, ()
        self.grid.set_unit(unit)
        self.refresh()

    def refresh(self) -> None:
        """Show what hangs now."""
        self.grid.refresh()
        plan, folder = self._work.plan, self._work.set_folder
        known = f"The set in {printable(str(folder))}" if folder else "Choose the folder of its finished set."
        self._set.setText(breakable(self._work.busy + "..." if self._work.busy else known))
        self._show_chosen()
        left = plan.left if plan else {}
        findings = tuple(plan.findings) if plan else ()
        listed = (tuple(left.items()), tuple((each.code, each.message) for each in findings), plan is None)
        if listed == self._listed:
            return
        self._listed = listed
        self._show_left(left)
        self._show_findings(findings)

    def _show_chosen(self) -> None:
        plan, number = self._work.plan, self._view.number
        shown = plan is not None and 0 < number <= len(plan.hung)
        for widget in (self._where, self.left_button, self.right_button, self.remove_button):
            widget.setVisible(shown)
        if plan is None or not shown:
            self._chosen.setText("" if plan is None else "Click a hold to move or turn it.")
            return
        one = plan.hung[number - 1]
        self._chosen.setText(breakable(printable(f"{number}  {one.hold.name}")))
        self._where.setText(f"At T-nut {one.t_nut}, turned by {one.turn:g}\N{DEGREE SIGN}")

    def _show_left(self, left: dict[str, int]) -> None:
        clear(self._to_hang)
        self.buttons = {}
        self._to_hang_title.setVisible(bool(left))
        for name, count in left.items():
            held, label = QWidget(self), ElidedLabel(self)
            copies = f" \N{MULTIPLICATION SIGN} {count}" if count > 1 else ""
            label.show_text(f"{name}{copies}" if count > 0 else f"{name}: {-count} more than there are")
            button = QuietButton("Hang", held, tip=f"Hang {printable(name)} on the wall")
            button.clicked.connect(lambda _on=False, name=name: self._hang(name))
            button.setVisible(count > 0)
            self.buttons[name] = button
            row((label, 1), button, on=held)
            self._to_hang.addWidget(held)

    def _hang(self, name: str) -> None:
        plan = self._work.plan
        number = plan.add(name) if plan is not None else None
        if number is None:
            self._work.failed.emit(f"No T-nut is free for {name}; take another hold off first.")
            return
        self._work.changed.emit()
        self._view.choose(number)
        self._view.setFocus()

    def _show_findings(self, findings: tuple[Finding, ...]) -> None:
        clear(self._found)
        self.lines = []
        plan = self._work.plan
        self._found_title.setVisible(plan is not None)
        for finding in findings[:MOST]:
            words = held_together(typeset(in_unit(finding.message, self._unit)))
            number = next(
                (one.number for one in plan.hung if finding.where == (*one.at, 0.0)) if plan else iter(()), 0
            )
            line = WallFinding(finding.severity, words, partial(self._view.choose, number), self)
            line.setToolTip(finding.advice)
            self.lines.append(line)
            self._found.addWidget(line)
        if len(findings) > MOST:
            self._found.addWidget(paragraph(f"{len(findings) - MOST} more", self, faint=True))
        if plan is not None and not findings:
            self._found.addWidget(paragraph("Nothing was found.", self, faint=True))


class WallFinding(TextLabel):
    """A finding; a click chooses its hold."""

    def __init__(self, severity: str, words: str, choose: Callable[[], None], parent: QWidget) -> None:
        super().__init__(breakable(words), parent, wrap=True, tint=severity)
        self._choose = choose
        self.setAccessibleName(f"{severity}: {words}")
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Choose the hold."""
        event.accept()
        self._choose()
