"""The page of a wall: the wall to scale, its holds to be hung by hand or spread, and its files."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QWidget

from holdwright.gui.document import questions
from holdwright.gui.document.wall_work import WallWork
from holdwright.gui.form.field_frame import PlainLine
from holdwright.gui.pages.wall.wall_panel import WallPanel
from holdwright.gui.pages.wall.wall_view import WallView
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.keyboard_order import ReadInOrder
from holdwright.gui.widgets.layout import ElidedLabel, ScrollArea, TextLabel, column, row
from holdwright.gui.widgets.number_format import Preferred, counted, severity_counts
from holdwright.gui.widgets.painting import Paper


class WallPage(ReadInOrder, Paper):
    """Shows the open wall.

    Attributes
    ----------
    work
        The open wall.

    Signals
    -------
    closed
        It is to be put away; changes stay.
    """

    closed = Signal()

    def __init__(self, work: WallWork, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.work = work
        self.setAccessibleName("Wall")
        self._state = ElidedLabel(self)
        self.undo_button = QuietButton(
            "Undo", self, icon_only="undo", tip="Undo (Ctrl+Z)", clicked=self._undo
        )
        self.redo_button = QuietButton(
            "Redo", self, icon_only="redo", tip="Redo (Ctrl+Y)", clicked=self._redo
        )
        self._by_chance = TextLabel("Arrangement", self, faint=True)
        self.seed = PlainLine(self)
        self.seed.setText("1")
        self.seed.setAccessibleName("Number of the arrangement")
        self.seed.setToolTip("Spread at random; the same number hangs the holds in the same way")
        self.seed.setFixedWidth(15 * style.GRID)
        self.spread_button = QuietButton(
            "Spread the holds",
            self,
            tip="Hang the whole set at random, as the number beside says",
            clicked=self._spread,
        )
        self.write_button = QuietButton(
            "Write the plan...", self, tip="Drawing as SVG and PDF, and a mounting list", clicked=self._write
        )
        self.save_button = QuietButton(
            "Save", self, primary=True, tip="Save the wall (Ctrl+S)", clicked=self._save
        )
        self.back_button = QuietButton(
            "Back", self, tip="Leave the wall as it is (Escape)", clicked=self.closed
        )
        self.view = WallView(work, self)
        self.panel = WallPanel(work, self.view, self)
        self.panel.set_requested.connect(self._choose_set)
        self._lay_out()
        self.begins_at = self.view
        work.changed.connect(self.refresh)
        work.opened.connect(self.refresh)
        self.refresh()

    @property
    def title(self) -> str:
        """What the wall is called, with a star while it is not saved."""
        return self.work.name + "*" * self.is_changed

    @property
    def is_changed(self) -> bool:
        """Whether it differs from its file."""
        return self.work.plan is not None and self.work.plan.is_changed

    @property
    def state(self) -> str:
        """What is said of the whole wall."""
        return self._state.whole

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self.panel.set_unit(unit)

    def refresh(self) -> None:
        """Show what hangs now."""
        plan, busy = self.work.plan, bool(self.work.busy)
        self.undo_button.setEnabled(plan is not None and plan.can_undo)
        self.redo_button.setEnabled(plan is not None and plan.can_redo)
        self.save_button.setEnabled(self.is_changed)
        for button in (self.spread_button, self.write_button):
            button.setEnabled(plan is not None and not busy)
        if plan is None:
            self._state.show_text(self.work.busy)
        else:
            found = severity_counts(each.severity for each in plan.findings)
            left = sum(max(count, 0) for count in plan.left.values())
            told = [f"{counted(len(plan.hung), 'hold')} on the wall", f"{left} to hang" * bool(left), *found]
            told.append("not saved" * self.is_changed)
            self._state.show_text(", ".join(filter(None, [*told, self.work.busy.lower()])))
        self.panel.refresh()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Undo, redo, save, or ask to be put away."""
        if event.matches(QKeySequence.StandardKey.Undo):
            self._undo()
        elif event.matches(QKeySequence.StandardKey.Redo) or _is_ctrl_y(event):
            self._redo()
        elif event.matches(QKeySequence.StandardKey.Save):
            self._save()
        elif event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)

    def may_leave(self) -> bool:
        """Ask about unsaved changes, and tell whether the wall may be left."""
        if not self.is_changed:
            return True
        answer = questions.unsaved(self, self.work.name)
        return self._save() if answer == 0 else answer == 1

    def _undo(self) -> None:
        if self.work.plan is not None:
            self.work.plan.undo()
            self.work.changed.emit()

    def _redo(self) -> None:
        if self.work.plan is not None:
            self.work.plan.redo()
            self.work.changed.emit()

    def _save(self) -> bool:
        path = self.work.path
        if path is None or not self.is_changed:
            return True
        if self.work.changed_on_disk and not questions.changed_on_disk(self, path.name):
            return False
        return self.work.save()

    def _spread(self) -> None:
        plan, text = self.work.plan, self.seed.text().strip()
        if plan is None:
            return
        if not (text.isdecimal() and text.isascii() and len(text) <= 9):
            self.work.failed.emit(
                f"The number of the arrangement should be a whole one, such as 7, not {text!r}."
            )
            return
        left = plan.spread(int(text))
        self.work.changed.emit()
        if left:
            self.work.said.emit(f"No place was free for {', '.join(left)}.")

    def _write(self) -> None:
        path = self.work.path
        folder = questions.which_folder(self, path.parent) if path else None
        if folder is not None:
            self.work.write_plan(folder)

    def _choose_set(self) -> None:
        path = self.work.path
        folder = questions.which_set_folder(self, path.parent) if path else None
        if folder is not None and self.may_leave():
            self.work.use_set(folder, chosen=True)

    def _lay_out(self) -> None:
        right = self.scrolled = QWidget()
        column(self.panel, on=right, margins=(style.MARGIN,) * 4)
        scroll = ScrollArea(right, self)
        scroll.setFixedWidth(style.SIDEBAR_WIDTH)
        head = row(
            *((self._state, 1), self.undo_button, self.redo_button, style.GAP),
            *(self._by_chance, self.seed, self.spread_button, style.GAP),
            *(self.write_button, self.save_button, self.back_button),
            margins=(style.MARGIN, style.GAP, style.GAP, style.GAP),
            gap=style.GRID,
        )
        column(head, (row((self.view, 1), scroll), 1), on=self)


def _is_ctrl_y(event: QKeyEvent) -> bool:
    """Tell whether Redo is asked for as on another system."""
    return event.key() == Qt.Key.Key_Y and event.modifiers() == Qt.KeyboardModifier.ControlModifier
