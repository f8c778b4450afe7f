"""The bar on top: what is open, what can be undone, how far the work is, and what to do with the hold."""

from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QSizePolicy, QVBoxLayout, QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.elided_label import ElidedLabel
from holdwright.gui.widgets.length_text import in_unit
from holdwright.gui.widgets.number_format import Preferred, typeset
from holdwright.gui.widgets.painting import Restyled
from holdwright.gui.widgets.palette import tones
from holdwright.gui.widgets.progress_line import ProgressLine

VIEWS: Final = (
    ("three_quarter", "Three quarter"),
    ("front", "Front, as on the wall"),
    ("right", "From the right"),
    ("left", "From the left"),
    ("top", "From above"),
    ("back", "Back"),
)
"""Names of views as the viewport knows them, and in words."""


class TopBar(Restyled, QWidget):
    """Says what is wanted; the window does it.

    Signals
    -------
    section_toggled, heat_toggled
        Whether the section, the heat map is to be shown.
    measure_toggled
        Whether distances are to be measured.
    view_asked
        Name of a view, one of `VIEWS`, or "fit".
    export_asked, joint_asked, open_asked, save_asked, save_as_asked, preferences_asked, help_asked,
    quit_asked
        As they say.
    """

    section_toggled = Signal(bool)
    measure_toggled = Signal(bool)
    heat_toggled = Signal(bool)
    view_asked = Signal(str)
    export_asked = Signal()
    joint_asked = Signal()
    open_asked = Signal()
    save_asked = Signal()
    save_as_asked = Signal()
    preferences_asked = Signal()
    help_asked = Signal()
    quit_asked = Signal()

    def __init__(self, document: Document, unit: Preferred = "mm", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._unit: Preferred = unit
        self._title = ElidedLabel(self)
        self._state = QLabel(self)
        self.undo_button = QuietButton("Undo", self, icon_name="undo", words_shown=False)
        self.redo_button = QuietButton("Redo", self, icon_name="redo", words_shown=False)
        self._doing = ElidedLabel(self)
        self._doing.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.cancel_button = QuietButton("Cancel", self)
        self.cancel_button.setToolTip("Stop the current work; finished steps stay.")
        self.section_button = self._switch("Section", "Show a section through the hold", self.section_toggled)
        self.measure_button = self._switch(
            "Measure", "Measure between two points on the hold", self.measure_toggled
        )
        self.heat_button = self._switch(
            "Thickness map", "Colour the hold by its thickness", self.heat_toggled
        )
        self._views = QuietButton("Views", self)
        self._views.setToolTip("Look at the hold from one side")
        self._views.setMenu(self._views_menu())
        self._views.setPopupMode(QuietButton.ToolButtonPopupMode.InstantPopup)
        self.export_button = QuietButton("Export", self, primary=True)
        self.export_button.setToolTip("Export the parts for printing")
        self.export_button.clicked.connect(self.export_asked)
        self._menu = QuietButton("Menu", self, icon_name="menu", words_shown=False)
        self._menu.setMenu(self._main_menu())
        self._menu.setPopupMode(QuietButton.ToolButtonPopupMode.InstantPopup)
        self._line = ProgressLine(self)
        self._lay_out()
        self.restyle()
        self._connect()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self._unit = unit
        self.refresh()

    def set_section_on(self, on: bool) -> None:
        """Show whether the section is on; says nothing."""
        self.section_button.setChecked(on)

    def set_measure_on(self, on: bool) -> None:
        """Show whether measuring is on; says nothing."""
        self.measure_button.setChecked(on)

    def set_heat_on(self, on: bool) -> None:
        """Show whether the heat map is on; says nothing."""
        self.heat_button.setChecked(on)

    @property
    def title(self) -> str:
        """What is open, and how it stands to its file."""
        return ", ".join(filter(None, (self._title.whole, self._state.text())))

    @property
    def doing(self) -> str:
        """What goes on; blank for nothing."""
        return self._doing.whole

    def refresh(self) -> None:
        """Show what is open and what can be undone."""
        document = self._document
        there = document.session is not None
        source = document.path or document.sculpt_path
        self._title.show_text(source.stem if source else "Holdwright")
        unsaved = "not saved" if document.path is None else "changed" if document.dirty else ""
        self._state.setText(unsaved if there else "")
        for button, text, verb in (
            (self.undo_button, document.undo_text, "Undo"),
            (self.redo_button, document.redo_text, "Redo"),
        ):
            words = typeset(f"{verb}: {in_unit(text, self._unit)}") if text else f"Nothing to {verb.lower()}"
            button.setEnabled(bool(text))
            button.setToolTip(words)
            button.setAccessibleName(words)
        for widget in (
            self.section_button,
            self.measure_button,
            self.heat_button,
            self._views,
            self.export_button,
        ):
            widget.setEnabled(there)
        for action in self._needing:
            action.setEnabled(there)

    def _connect(self) -> None:
        document = self._document
        self.undo_button.clicked.connect(document.edits.undo)
        self.redo_button.clicked.connect(document.edits.redo)
        self.cancel_button.clicked.connect(document.cancel)
        for signal in (document.opened, document.path_changed, document.recipe_changed):
            signal.connect(self.refresh)
        document.busy_changed.connect(self._show_busy)
        document.reported.connect(self._show_report)
        self._show_busy(document.busy)
        self.refresh()

    def _show_busy(self, busy: bool) -> None:
        self._line.set_working(busy)
        self.cancel_button.setVisible(busy)
        self._doing.show_text("Working" if busy else "")

    def _show_report(self, fraction: float, text: str) -> None:
        if self._document.busy:
            self._line.set_fraction(fraction)
            words = text[:1].upper() + text[1:]
            self._doing.show_text(f"{words}, {fraction:.0%}" if words else f"{fraction:.0%}")

    def _switch(self, text: str, told: str, signal: object) -> QuietButton:
        button = QuietButton(text, self)
        button.setCheckable(True)
        button.setToolTip(told)
        button.clicked.connect(signal)
        return button

    def _views_menu(self) -> QMenu:
        menu = QMenu(self)
        for name, words in VIEWS:
            menu.addAction(words).triggered.connect(lambda _on=False, name=name: self.view_asked.emit(name))
        menu.addSeparator()
        menu.addAction("Fit the hold").triggered.connect(lambda: self.view_asked.emit("fit"))
        return menu

    def _main_menu(self) -> QMenu:
        menu = QMenu(self)
        self._needing = []
        for words, signal, needs in (
            ("Open...", self.open_asked, False),
            ("Save", self.save_asked, True),
            ("Save as...", self.save_as_asked, True),
            ("Joint card", self.joint_asked, True),
            ("", None, False),
            ("Preferences...", self.preferences_asked, False),
            ("Keys and safety", self.help_asked, False),
            ("", None, False),
            ("Quit", self.quit_asked, False),
        ):
            if signal is None:
                menu.addSeparator()
                continue
            action = menu.addAction(words)
            action.triggered.connect(lambda _on=False, signal=signal: signal.emit())
            self._needing += [action] if needs else []
        return menu

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setContentsMargins(style.MARGIN, style.GRID, style.GAP, style.GRID)
        row.setSpacing(style.GRID)
        self._title.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self._title.setMinimumWidth(15 * style.GRID)
        row.addWidget(self._title)
        row.addWidget(self._state)
        row.addSpacing(style.MARGIN)
        row.addWidget(self.undo_button)
        row.addWidget(self.redo_button)
        row.addSpacing(style.GAP)
        row.addWidget(self._doing, 1)
        row.addWidget(self.cancel_button)
        row.addSpacing(style.GAP)
        for button in (self.section_button, self.measure_button, self.heat_button, self._views):
            row.addWidget(button)
        row.addSpacing(style.GRID)
        row.addWidget(self.export_button)
        row.addWidget(self._menu)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(row)
        column.addWidget(self._line)

    def restyle(self) -> None:
        """Take the colours of the scheme."""
        font = QFont(style.title_font())
        self._title.setFont(font)
        palette = self.palette()
        palette.setColor(self._state.foregroundRole(), tones(self).faint)
        self._state.setPalette(palette)
        self._doing.setPalette(palette)
