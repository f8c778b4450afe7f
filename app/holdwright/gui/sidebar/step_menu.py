"""Menus of the route card: what can be done with a step, and which steps can be added."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMenu, QWidget

from holdwright.gui.document.document import Document
from holdwright.operations import OPERATIONS
from holdwright.operations.base import Operation
from holdwright.pipeline.recipe import Step


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
    menu.addAction("Change the note..." if step.note else "Note...", write_note)
    if can_be_missed(document, step.id):
        menu.addSeparator()
        menu.addAction("Remove step", lambda: edits.remove_step(step.id))
    return menu


def can_be_missed(document: Document, step_id: str) -> bool:
    """Tell whether a step may be skipped or taken out: all but the one every recipe starts with."""
    steps = document.recipe.steps
    return bool(steps) and steps[0].id != step_id


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
