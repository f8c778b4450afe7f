"""The route card: the steps of the recipe in shop order, the chosen one's form opened in place."""

from itertools import pairwise

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.document.document import Document
from holdwright.gui.form.form import Form
from holdwright.gui.sidebar.step_menu import add_menu, addable, can_be_missed, step_menu
from holdwright.gui.sidebar.step_panel import StepPanel
from holdwright.gui.sidebar.step_state import step_states
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.number_format import Preferred


class RouteCard(QWidget):
    """Keeps one entry for each step.

    Signals
    -------
    pick_asked
        A place is to be picked in the view: the step's id and the field's name.
    opened_at
        The entry of the step that was opened, to be brought into sight.
    """

    pick_asked = Signal(str, str)
    opened_at = Signal(QWidget)

    def __init__(
        self, document: Document, catalogue: Catalogue, unit: Preferred, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._catalogue = catalogue
        self._unit: Preferred = unit
        self._open_more: set[str] = set()
        self._arranged: list[tuple[StepPanel, Form | None]] = []
        self.entries: dict[str, StepPanel] = {}
        self.setAccessibleName("Route card")
        self._add = QuietButton("Add a step", self, icon_name="plus")
        self._add.setToolTip("Add a step to the recipe, in shop order")
        self._add.clicked.connect(self.open_add_menu)
        self._rows = QVBoxLayout()
        self._rows.setSpacing(0)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(style.GRID)
        column.addLayout(self._rows)
        quiet = QHBoxLayout()
        quiet.setContentsMargins(style.MARGIN + style.GRID, 0, 0, style.GRID)
        quiet.addWidget(self._add)
        quiet.addStretch(1)
        column.addLayout(quiet)
        column.addStretch(1)
        document.opened.connect(self._clear)
        for signal in (document.recipe_changed, document.selected_changed, document.opened):
            signal.connect(self.refresh)
        document.step_shown.connect(lambda _id: self.refresh())
        document.busy_changed.connect(lambda _busy: self.refresh())
        self.refresh()

    def refresh(self) -> None:
        """Show the recipe and its results as they are."""
        states = step_states(self._document, self._unit)
        for step_id in set(self.entries) - {state.id for state in states}:
            self._drop(step_id)
        opened: StepPanel | None = None
        for place, state in enumerate(states):
            entry = self.entries.get(state.id) or self._make(state.id, place)
            if self._rows.indexOf(entry) != place:
                self._rows.insertWidget(place, entry)
            chosen = state.id == self._document.selected
            was_open = entry.form is not None
            entry.show_state(state, chosen=chosen)
            if chosen and not was_open:
                opened = entry
        self._add.setVisible(bool(states) and bool(addable(self._document)))
        self._order_tabs()
        if opened is not None:
            self.opened_at.emit(opened)

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        if unit != self._unit:
            self._unit = unit
            for entry in self.entries.values():
                entry.rebuild_form()
            self.refresh()

    def open_add_menu(self) -> None:
        """Offer the steps that can be added."""
        place = self._add.mapToGlobal(self._add.rect().bottomLeft())
        add_menu(self._document, self).popup(place)

    def _make(self, step_id: str, place: int) -> StepPanel:
        state = step_states(self._document, self._unit)[place]
        entry = StepPanel(state, self._make_form, self)
        entry.line.clicked.connect(lambda: self._toggle_open(step_id))
        entry.keyed.connect(lambda what: self._key(step_id, what))
        entry.menu_asked.connect(lambda where: self._open_step_menu(step_id, where))
        entry.back_asked.connect(lambda: self._document.edits.edit(step_id, {"open_back": "close flat"}))
        entry.noted.connect(lambda text: self._document.edits.note_step(step_id, text))
        self.entries[step_id] = entry
        self._rows.insertWidget(place, entry)
        entry.show()
        return entry

    def _make_form(self, step_id: str, parent: QWidget) -> Form:
        operation = self._document.recipe.step(step_id).operation
        form = Form(
            self._document,
            step_id,
            self._catalogue,
            self._unit,
            open_more=operation in self._open_more,
            parent=parent,
        )
        form.pick_asked.connect(self.pick_asked)
        form.more_shown.connect(lambda shown: self._remember_more(operation, shown))
        return form

    def _remember_more(self, operation: str, shown: bool) -> None:
        if shown:
            self._open_more.add(operation)
        else:
            self._open_more.discard(operation)

    def _drop(self, step_id: str) -> None:
        entry = self.entries.pop(step_id)
        entry.show_state(entry.line.state, chosen=False)
        self._rows.removeWidget(entry)
        entry.hide()
        entry.deleteLater()

    def _clear(self) -> None:
        for step_id in list(self.entries):
            self._drop(step_id)

    def _toggle_open(self, step_id: str) -> None:
        selected = self._document.selected
        self._document.edits.select("" if step_id == selected else step_id)
        self.refresh()

    def _key(self, step_id: str, what: str) -> None:
        ids = list(self._ids())
        place = ids.index(step_id)
        if what == "skip":
            # A recipe's file may have the first step skipped: it is to be had back.
            if can_be_missed(self._document, step_id) or not self._document.recipe.step(step_id).enabled:
                self._document.edits.toggle_step(step_id)
        elif what == "take_out":
            if can_be_missed(self._document, step_id):
                self._document.edits.remove_step(step_id)
                self._focus(min(place, len(self._ids()) - 1))
        else:
            to = {"up": place - 1, "down": place + 1, "first": 0, "last": len(ids) - 1}[what]
            self._focus(min(max(to, 0), len(ids) - 1))

    def _focus(self, place: int) -> None:
        ids = self._ids()
        if 0 <= place < len(ids):
            self.entries[ids[place]].line.setFocus(Qt.FocusReason.TabFocusReason)

    def _ids(self) -> tuple[str, ...]:
        return tuple(step.id for step in self._document.recipe.steps)

    def _open_step_menu(self, step_id: str, where: QPoint) -> None:
        entry = self.entries[step_id]
        step = self._document.recipe.step(step_id)
        step_menu(self._document, step, entry.note.write, entry).popup(where)

    def _order_tabs(self) -> None:
        """Let the keyboard walk from top to bottom, whatever order things were made in."""
        entries = [self.entries[step_id] for step_id in self._ids()]
        arranged = [(entry, entry.form) for entry in entries]
        if arranged == self._arranged:
            return
        self._arranged = arranged
        path = [widget for entry in entries for widget in entry.keyboard_path()]
        for before, after in pairwise([*path, self._add]):
            QWidget.setTabOrder(before, after)
