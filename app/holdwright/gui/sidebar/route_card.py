"""The route card: the steps of the recipe in shop order, the chosen one's form opened in place."""

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMenu, QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import RecipeError
from holdwright.gui.document.document import Document
from holdwright.gui.form.form import Form
from holdwright.gui.sidebar.step_panel import StepPanel
from holdwright.gui.sidebar.step_state import StepState, step_states
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.keyboard_order import link
from holdwright.gui.widgets.layout import column, discard, row
from holdwright.gui.widgets.number_format import Preferred
from holdwright.operations import OPERATIONS
from holdwright.operations.base import Operation
from holdwright.pipeline.recipes.recipe import Step


class RouteCard(QWidget):
    """Keeps one entry for each step.

    Signals
    -------
    pick_requested
        A place is to be picked in the view: the step's id and the field's name.
    findings_requested
        The findings of a step are to be shown: its id.
    opened_at
        The entry of the step that was opened, to be scrolled to.
    """

    pick_requested = Signal(str, str)
    findings_requested = Signal(str)
    opened_at = Signal(QWidget)

    def __init__(self, document: Document, catalogue: Catalogue, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._catalogue = catalogue
        self._unit: Preferred = "mm"
        self._open_more: set[str] = set()
        self._told: tuple[object, ...] = ()
        self._arranged: list[tuple[StepPanel, Form | None]] = []
        self.entries: dict[str, StepPanel] = {}
        self.setAccessibleName("Route card")
        tip = "Add a step to the recipe, in shop order"
        self._add = QuietButton("Add a step", self, icon_name="plus", tip=tip, clicked=self.open_add_menu)
        self._rows = column()
        add = row(self._add, None, margins=(style.MARGIN + style.GRID, 0, 0, style.GRID))
        column(self._rows, add, None, on=self, gap=style.GRID)
        document.opened.connect(self._clear)
        for signal in (
            document.recipe_changed,
            document.selected_changed,
            document.opened,
            document.step_shown,
            document.busy_changed,
        ):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the recipe and its results as they are."""
        states = step_states(self._document, self._unit)
        told = (states, self._document.selected, self._unit)
        if told == self._told:  # much is heard of more than once
            return
        self._told = told
        for step_id in set(self.entries) - {state.id for state in states}:
            self._drop(step_id)
        opened: StepPanel | None = None
        for place, state in enumerate(states):
            entry = self.entries.get(state.id) or self._make(state, place)
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

    def stick_below(self, y: int) -> None:
        """Keep the open step's heading in sight where the card is scrolled to `y`, pixels."""
        for entry in self.entries.values():
            entry.stick_below(y)

    def open_add_menu(self) -> None:
        """Offer the steps that can be added."""
        place = self._add.mapToGlobal(self._add.rect().bottomLeft())
        add_menu(self._document, self).popup(place)

    def _make(self, state: StepState, place: int) -> StepPanel:
        step_id, entry = state.id, StepPanel(state, self._make_form, self)
        entry.line.clicked.connect(lambda: self._toggle_open(step_id))
        entry.line.flags_clicked.connect(lambda: self.findings_requested.emit(step_id))
        entry.line.keyed.connect(lambda what: self._key(step_id, what))
        entry.line.menu_requested.connect(lambda where: self._open_step_menu(step_id, where))
        flat = {"open_back": "close flat"}
        entry.offer.clicked.connect(lambda _on=False: self._document.edits.edit(step_id, flat))
        entry.note.written.connect(lambda text: self._document.edits.note_step(step_id, text))
        self.entries[step_id] = entry
        self._rows.insertWidget(place, entry)
        entry.show()
        return entry

    def _make_form(self, step_id: str, parent: QWidget) -> Form:
        operation = self._document.recipe.step(step_id).operation
        more, unit = operation in self._open_more, self._unit
        form = Form(self._document, step_id, self._catalogue, unit, open_more=more, parent=parent)
        form.pick_requested.connect(self.pick_requested)
        form.more_shown.connect(lambda shown: self._remember_more(operation, shown))
        return form

    def _remember_more(self, operation: str, shown: bool) -> None:
        (self._open_more.add if shown else self._open_more.discard)(operation)

    def _drop(self, step_id: str) -> None:
        entry = self.entries.pop(step_id)
        entry.show_state(entry.line.state, chosen=False)
        discard(self._rows, entry)

    def _clear(self) -> None:
        self._told = ()
        for step_id in list(self.entries):
            self._drop(step_id)

    def _toggle_open(self, step_id: str) -> None:
        selected = self._document.selected
        self._document.edits.select("" if step_id == selected else step_id)
        self.refresh()

    def _key(self, step_id: str, what: str) -> None:
        place, last = self._ids().index(step_id), len(self._ids()) - 1
        if what == "skip":
            # A recipe's file may have the first step skipped: it is to be had back.
            if can_be_missed(self._document, step_id) or not self._document.recipe.step(step_id).enabled:
                self._document.edits.toggle_step(step_id)
        elif what == "take_out":
            if can_be_missed(self._document, step_id):
                self._document.edits.remove_step(step_id)
                self._focus(min(place, len(self._ids()) - 1))
        elif what.startswith("move"):
            # What the shop order forbids is refused with a sentence.
            self._document.edits.move_step(step_id, -1 if what == "move_up" else 1)
        else:
            to = {"up": place - 1, "down": place + 1, "first": 0, "last": last}[what]
            self._focus(min(max(to, 0), last))

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

    def keyboard_path(self) -> list[QWidget]:
        """Give what the keyboard reaches, in order."""
        entries = [self.entries[step_id] for step_id in self._ids()]
        return [*(widget for entry in entries for widget in entry.keyboard_path()), self._add]

    def _order_tabs(self) -> None:
        """Let the keyboard walk from top to bottom, whatever order widgets were created in."""
        entries = [self.entries[step_id] for step_id in self._ids()]
        arranged = [(entry, entry.form) for entry in entries]
        if arranged == self._arranged:
            return
        self._arranged = arranged
        link(self.keyboard_path())


def step_menu(document: Document, step: Step, write_note: Callable[[], None], parent: QWidget) -> QMenu:
    """Make the menu of one step.

    Parameters
    ----------
    write_note
        Called to write on the step's note.
    """
    edits = document.edits
    menu = _menu(parent)
    if can_be_missed(document, step.id) or not step.enabled:
        menu.addAction("Skip step" if step.enabled else "Include step", lambda: edits.toggle_step(step.id))
    if any(each.name == step.operation and each.repeatable for each in OPERATIONS):
        menu.addAction("Add another", lambda: edits.add_step(step.operation))
    for by, text, key in ((-1, "Move up", "Alt+Up"), (1, "Move down", "Alt+Down")):
        if can_be_moved(document, step.id, by):
            menu.addAction(f"{text}\t{key}", partial(edits.move_step, step.id, by))
    shown = document.step(step.id)
    if result := shown.result if shown is not None else "":
        menu.addAction("Copy figures", lambda: QGuiApplication.clipboard().setText(result))
    menu.addAction("Change the note..." if step.note else "Note...", write_note)
    if can_be_missed(document, step.id):
        menu.addSeparator()
        menu.addAction("Remove step", lambda: edits.remove_step(step.id))
    return menu


def can_be_missed(document: Document, step_id: str) -> bool:
    """Tell whether a step may be skipped or taken out: all but the one every recipe starts with."""
    steps = document.recipe.steps
    return bool(steps) and steps[0].id != step_id


def can_be_moved(document: Document, step_id: str, by: int) -> bool:
    """Tell whether a step may change places with the one before (-1) or after it (1)."""
    try:
        document.recipe.moved(step_id, by)
    except RecipeError:
        return False
    return True


def addable(document: Document) -> list[Operation[Any]]:
    """Give the operations the recipe may still take in, in shop order."""
    present = {step.operation for step in document.recipe.steps}
    return [each for each in OPERATIONS if each.repeatable or each.name not in present]


def add_menu(document: Document, parent: QWidget) -> QMenu:
    """Make the menu of steps that can be added: those missing first, then further ones of a kind."""
    menu = _menu(parent)
    menu.setToolTipsVisible(True)
    present = {step.operation for step in document.recipe.steps}
    for further in (False, True):
        group = [each for each in addable(document) if (each.name in present) == further]
        if further and group and menu.actions():
            menu.addSeparator()
        for operation in group:
            action = menu.addAction(f"{operation.title}, another" if further else operation.title)
            action.setToolTip(operation.summary)
            action.triggered.connect(lambda _on=False, name=operation.name: document.edits.add_step(name))
    return menu


def _menu(parent: QWidget) -> QMenu:
    menu = QMenu(parent)
    menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    return menu
