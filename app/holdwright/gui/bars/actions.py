"""Every command of the window with its keys, in one table."""

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget


@dataclass(frozen=True)
class Command:
    """One command."""

    name: str
    """What code calls it."""
    text: str
    """What it is called on a button or in a menu."""
    keys: str
    """Anywhere in the window; several with spaces between."""
    view_keys: str
    """Letters and figures, likewise: only while the view has the keyboard, so that they can be typed
    everywhere else."""
    summary: str
    """A sentence on what it does."""
    checkable: bool = False
    """Whether it is on or off."""
    needs_document: bool = True
    """Whether it makes no sense in the empty window."""


COMMANDS: Final = (
    Command(
        "open", "Open...", "Ctrl+O", "", "Open a sculpt, a recipe, a set or a wall", needs_document=False
    ),
    Command("save", "Save", "Ctrl+S", "", "Save the recipe"),
    Command("save_as", "Save as...", "Ctrl+Shift+S", "", "Save the recipe as another file"),
    Command("export", "Export", "Ctrl+E", "", "Export the parts for printing"),
    Command("joint", "Joint card", "Ctrl+J", "", "Judge how the hold is bolted to its wall"),
    Command("undo", "Undo", "Ctrl+Z", "", "Undo the last change"),
    Command("redo", "Redo", "Ctrl+Shift+Z Ctrl+Y", "", "Redo the last undone change"),
    Command("previous_step", "Previous step", "Ctrl+PgUp", "", "Go to the previous step"),
    Command("next_step", "Next step", "Ctrl+PgDown", "", "Go to the next step"),
    Command("section", "Section", "", "X", "Show a section through the hold", checkable=True),
    Command("measure", "Measure", "", "M", "Measure between two points on the hold", checkable=True),
    Command("heat", "Thickness map", "", "H", "Colour the hold by its thickness", checkable=True),
    Command("raw", "Original sculpt", "", "B", "Switch between the sculpt before and after import", True),
    Command("view_three_quarter", "Three quarter", "", "1", "Look from the front and one side"),
    Command("view_front", "Front", "", "2", "Look at the front, as on the wall"),
    Command("view_right", "Right", "", "3", "Look from the right"),
    Command("view_left", "Left", "", "4", "Look from the left"),
    Command("view_top", "Top", "", "5", "Look from above"),
    Command("view_back", "Back", "", "6", "Look at the back"),
    Command("fit", "Fit the hold", "", "F", "Fit the whole hold in the view"),
    Command("wall_grid", "Wall", "", "G", "Show the wall behind the hold", checkable=True),
    Command("click", "Click the middle", "", "P", "Click what is in the middle of the view"),
    Command("copy_picture", "Copy picture", "Ctrl+Shift+C", "", "Copy the picture of the view"),
    Command(
        "save_picture", "Save picture...", "Ctrl+Shift+P", "", "Save the picture of the view as a PNG file"
    ),
    Command("set", "Set", "Ctrl+T", "", "Go back to the open set", needs_document=False),
    Command("wall_plan", "Wall plan", "Ctrl+L", "", "Go back to the open wall", needs_document=False),
    Command("help", "Keys and safety", "F1", "?", "List the keys", needs_document=False),
    Command("preferences", "Preferences...", "Ctrl+,", "", "Choose unit and colours", needs_document=False),
    Command("close", "Close", "Ctrl+Q", "", "Close the window", needs_document=False),
)
"""In the order people look for them."""


_IN_VIEW: Final = Qt.ShortcutContext.WidgetWithChildrenShortcut


class Actions(QObject):
    """Makes an action of every command.

    Parameters
    ----------
    window
        Where `keys` are heard.
    view
        Where `view_keys` are heard, its children included; anywhere while the pointer is over it, save
        where a text is edited, which takes letters for itself.
    """

    def __init__(self, window: QWidget, view: QWidget) -> None:
        super().__init__(window)
        self._in_view: list[QAction] = []
        view.installEventFilter(self)
        self._actions = {command.name: self._made(command, window, view) for command in COMMANDS}

    def __getitem__(self, name: str) -> QAction:
        """Give the action of a command."""
        return self._actions[name]

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Hear the view's keys from everywhere while the pointer is over it."""
        if event.type() in (QEvent.Type.Enter, QEvent.Type.Leave):
            over = event.type() == QEvent.Type.Enter
            context = Qt.ShortcutContext.WindowShortcut if over else _IN_VIEW
            for action in self._in_view:
                action.setShortcutContext(context)
        return super().eventFilter(watched, event)

    def set_document_open(self, is_open: bool) -> None:
        """Switch off what makes no sense in the empty window, or on again."""
        for command in COMMANDS:
            if command.needs_document:
                self._actions[command.name].setEnabled(is_open)

    def keys(self, *, in_view: bool) -> tuple[tuple[str, str], ...]:
        """Give the keys, those of the view or those heard anywhere, and what each does, for people."""
        rows = ((command.view_keys if in_view else command.keys, command.summary) for command in COMMANDS)
        return tuple((written(keys), summary) for keys, summary in rows if keys)

    def _made(self, command: Command, window: QWidget, view: QWidget) -> QAction:
        # What stands after a tab is written at the right of a menu's entry; keys anywhere are added by Qt.
        beside = "" if command.keys else written(command.view_keys)
        action = QAction(f"{command.text}\t{beside}".strip(), self)
        action.setIconText(command.text)
        action.setCheckable(command.checkable)
        keys = written(f"{command.keys} {command.view_keys}")
        action.setToolTip(f"{command.summary} ({keys})" if keys else command.summary)
        action.setShortcuts([QKeySequence(key) for key in command.keys.split()])
        window.addAction(action)
        if command.view_keys:
            here = QAction(command.text, self)
            here.setShortcuts([QKeySequence(key) for key in command.view_keys.split()])
            here.setShortcutContext(_IN_VIEW)
            here.triggered.connect(lambda _on=False: action.trigger())
            view.addAction(here)
            self._in_view.append(here)
        return action


def written(keys: str) -> str:
    """Write keys of one command as they stand on the keyboard."""
    native = QKeySequence.SequenceFormat.NativeText
    return " or ".join(QKeySequence(key).toString(native) for key in keys.split())
