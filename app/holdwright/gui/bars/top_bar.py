"""The bar on top: what is open, what can be undone, how far the work is, and what to do with the hold."""

from functools import partial
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QMenu, QSizePolicy, QWidget

from holdwright.gui.bars.actions import Actions
from holdwright.gui.document.document import Document
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import ElidedLabel, TextLabel, column, row
from holdwright.gui.widgets.number_format import Preferred, in_unit, typeset
from holdwright.gui.widgets.painting import RIGHT
from holdwright.gui.widgets.progress_line import ProgressLine, progress_text

VIEWS: Final = ("three_quarter", "front", "right", "left", "top", "back")
"""Views as the viewport names them."""

SWITCHES: Final = ("section", "measure", "heat")
"""Commands with buttons of their own, where there is room, and a place in the menu of views always."""

NARROW: Final = 900
"""Pixels of width below which there is none."""

MENU: Final = (
    "open",
    "save",
    "save_as",
    "joint",
    "",
    "set",
    "wall_plan",
    "",
    "preferences",
    "help",
    "",
    "close",
)


class TopBar(QWidget):
    """The window's commands as buttons and menus, what is open, and how far the work is."""

    def __init__(self, document: Document, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._actions = actions
        self._unit: Preferred = "mm"
        self._covered = self._of_set = ""
        self._title = ElidedLabel(self)
        self._title.setFont(style.title_font())
        self._state = TextLabel("", self, faint=True)
        self.doing = ElidedLabel(self, faint=True)
        self.doing.setAlignment(RIGHT)
        edits = document.edits
        self.undo_button = QuietButton("Undo", self, icon_only="undo", clicked=partial(edits.undo))
        self.redo_button = QuietButton("Redo", self, icon_only="redo", clicked=partial(edits.redo))
        self.cancel_button = QuietButton("Cancel", self, clicked=self._stop_or_go_on)
        # A click must not take the keyboard from what is being edited.
        self.cancel_button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.section_button = self._button("section")
        self.measure_button = self._button("measure")
        self.heat_button = self._button("heat")
        self._views = QuietButton("Views", self, tip="Look at the hold from one side")
        self._add_menu(
            self._views,
            *(f"view_{view}" for view in VIEWS),
            "",
            "fit",
            "",
            *SWITCHES,
            "",
            "copy_picture",
            "save_picture",
        )
        self.export_button = self._button("export", primary=True)
        self.set_button = self._button("set")
        self.set_button.hide()
        self._has_set = False
        self._menu = QuietButton("Menu", self, icon_only="menu")
        self._add_menu(self._menu, *MENU)
        self._line = ProgressLine(self)
        self._lay_out()
        for signal in (document.opened, document.path_changed, document.recipe_changed):
            signal.connect(self.refresh)
        for signal in (document.busy_changed, document.stopped_changed):
            signal.connect(self._show_work)
        document.reported.connect(self._show_report)
        self._show_work()
        self.refresh()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self._unit = unit
        self.refresh()

    def offer_set(self) -> None:
        """Offer the way back to a set that is open."""
        self._has_set = True
        self._show_switches()

    def tell_set(self, words: str) -> None:
        """Say how far a set is that is being finished, while the open hold rests; blank for none."""
        if words != self._of_set:
            self._of_set = words
            self._show_work()

    def cover(self, title: str) -> None:
        """Name the page that lies over the open hold, and hide what concerns that; blank where none does."""
        self._covered, covered = title, bool(title)
        for widget in (self.undo_button, self.redo_button, self._views, self.export_button):
            widget.setVisible(not covered)
        self._show_switches()
        self._show_work()
        self.refresh()

    @property
    def title(self) -> str:
        """What is open, and how it stands to its file."""
        return ", ".join(filter(None, (self._title.whole, self._state.text())))

    def refresh(self) -> None:
        """Show what is open and what can be undone."""
        document = self._document
        is_open = document.session is not None
        # A recipe that goes from sculpt to sculpt tells which one it stands on.
        named = [each.stem for each in (document.path, document.sculpt_path) if each is not None]
        self._title.show_text(self._covered or " on ".join(dict.fromkeys(named)) or "Holdwright")
        # A sculpt that is only looked at has nothing that could be lost.
        touched = document.path is not None or bool(document.undo_text)
        unsaved = "not saved" if document.path is None else "changed" if document.dirty else ""
        self._state.setText(unsaved if is_open and touched and not self._covered else "")
        for button, text, verb in (
            (self.undo_button, document.undo_text, "Undo"),
            (self.redo_button, document.redo_text, "Redo"),
        ):
            words = typeset(f"{verb}: {in_unit(text, self._unit)}") if text else f"Nothing to {verb.lower()}"
            if button.hasFocus() and not text and (document.undo_text or document.redo_text):
                # Else Qt hands the keyboard to whatever comes next.
                other = self.undo_button if button is self.redo_button else self.redo_button
                other.setEnabled(True)
                other.setFocus()
            button.setEnabled(bool(text))
            button.setToolTip(words)
            button.setAccessibleName(words)
        self._views.setEnabled(is_open)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Leave the switches to the menu where there is no room for them."""
        super().resizeEvent(event)
        self._show_switches()

    def _show_switches(self) -> None:
        for button in (self.section_button, self.measure_button, self.heat_button):
            button.setVisible(self.width() >= NARROW and not self._covered)
        self.set_button.setVisible(self._has_set and not self._covered)

    def _show_work(self) -> None:
        busy, stopped = self._document.busy, self._document.stopped
        self._line.set_working(busy)
        self.cancel_button.setVisible((busy or stopped) and not self._covered)
        self.cancel_button.set_words("Cancel" if busy or not stopped else "Go on")
        tips = "Do the steps that are not up to date", "Stop the current work; finished steps stay."
        self.cancel_button.setToolTip(tips[busy])
        doing = "Working" if busy else "Stopped" if stopped else self._of_set
        self.doing.show_text("" if self._covered else doing)

    def _stop_or_go_on(self) -> None:
        if self._document.busy:
            self._document.supervisor.stop()
        else:
            self._document.replay()

    def _show_report(self, fraction: float, text: str) -> None:
        if self._document.busy and not self._covered:
            self._line.set_fraction(fraction)
            self.doing.show_text(progress_text(fraction, text))

    def _button(self, name: str, *, primary: bool = False) -> QuietButton:
        """Make the button of a command; what can be on or off follows the command, and sets it."""
        action = self._actions[name]
        button = QuietButton(action.iconText(), self, primary=primary, tip=action.toolTip())
        button.setEnabled(action.isEnabled())
        action.enabledChanged.connect(button.setEnabled)
        if action.isCheckable():
            button.setCheckable(True)
            button.toggled.connect(action.setChecked)
            action.toggled.connect(button.setChecked)
        else:
            button.clicked.connect(action.trigger)
        return button

    def _add_menu(self, button: QuietButton, *names: str) -> None:
        """Give a button a menu of commands; a blank name is a line between."""
        menu = QMenu(self)
        for name in names:
            if name:
                menu.addAction(self._actions[name])
            else:
                menu.addSeparator()
        button.setMenu(menu)
        button.setPopupMode(QuietButton.ToolButtonPopupMode.InstantPopup)

    def _lay_out(self) -> None:
        self._title.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self._title.setMinimumWidth(15 * style.GRID)
        bar = row(
            *(self._title, self._state, self.set_button, style.MARGIN),
            *(self.undo_button, self.redo_button, style.GAP),
            *((self.doing, 1), self.cancel_button, style.GAP),
            *(self.section_button, self.measure_button, self.heat_button, self._views, style.GRID),
            *(self.export_button, self._menu),
            margins=(style.MARGIN, style.GRID, style.GAP, style.GRID),
            gap=style.GRID,
        )
        column(bar, self._line, on=self)
