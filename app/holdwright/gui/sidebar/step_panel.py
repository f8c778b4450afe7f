"""All the route card has of one step: its line, why it failed, its note, and its form while it is chosen."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QPoint, QRect, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget

from holdwright.gui.form.form import Form
from holdwright.gui.sidebar.step_line import StepLine
from holdwright.gui.sidebar.step_note import StepNote
from holdwright.gui.sidebar.step_state import StepState
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.number_format import breakable, held_together, typeset
from holdwright.gui.widgets.painting import Restyled
from holdwright.gui.widgets.palette import set_role, tones
from holdwright.operations.import_sculpt import CLOSE_FLAT

BAR: Final = 3
"""Width of the accent at the chosen step's edge, pixels."""

MakeForm = Callable[[str, QWidget], Form]


class StepPanel(Restyled, QFrame):
    """One step.

    Parameters
    ----------
    make_form
        Makes the form of the step of an id.

    Signals
    -------
    keyed, menu_asked
        As of the line.
    noted
        The note as it is to be.
    back_asked
        A sheet is to get the flat back that the step's refusal offers.
    """

    keyed = Signal(str)
    menu_asked = Signal(QPoint)
    noted = Signal(str)
    back_asked = Signal()

    def __init__(self, state: StepState, make_form: MakeForm, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._make_form = make_form
        self.line = StepLine(state, self)
        self.line.keyed.connect(self.keyed)
        self.line.menu_asked.connect(self.menu_asked)
        self._result = _words(self)
        self.awaited = _words(self)
        self.awaited.setAutoFillBackground(True)
        self.awaited.setContentsMargins(style.GAP, style.GRID, style.GAP, style.GRID)
        self.failure = _words(self)
        self.failure.setAutoFillBackground(True)
        self.failure.setContentsMargins(style.GAP, style.GRID, style.GAP, style.GRID)
        self.offer = QuietButton("Close the back flat", self, primary=True)
        self.offer.clicked.connect(self.back_asked)
        self.note = StepNote(self)
        self.note.written.connect(self.noted)
        self.note.left.connect(self.line.setFocus)
        self.form: Form | None = None
        self._beneath = QVBoxLayout()
        self._beneath.setSpacing(style.GRID)
        for widget in (self._result, self.awaited, self.failure, self.offer, self.note):
            self._beneath.addWidget(widget)
        column = QVBoxLayout(self)
        column.setContentsMargins(BAR, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.line)
        column.addLayout(self._beneath)
        self.setAutoFillBackground(True)
        self.show_state(state, chosen=False)

    def show_state(self, state: StepState, *, chosen: bool) -> None:
        """Show another state, opened or closed."""
        self.line.setChecked(chosen)
        self.line.show_state(state)
        self._result.setText(_set(state.result))
        self._result.setVisible(chosen and bool(state.result))
        self.awaited.setText(_set(state.awaited))
        self.awaited.setVisible(bool(state.awaited))
        self.failure.setText(_set(state.failed))
        self.failure.setVisible(bool(state.failed))
        self.offer.setVisible(CLOSE_FLAT in state.failed)
        self.note.show_note(state.note)
        if chosen and self.form is None:
            self.form = self._make_form(state.id, self)
            self._beneath.addWidget(self.form)
            self.form.show()
        elif not chosen and self.form is not None:
            self._close_form()
        self._set_margins()
        self.restyle()

    def keyboard_path(self) -> list[QWidget]:
        """Give all that takes the keyboard, from top to bottom."""
        offer = [] if self.offer.isHidden() else [self.offer]
        return [*self.line.keyboard_path(), *offer, *(self.form.keyboard_path() if self.form else [])]

    def rebuild_form(self) -> None:
        """Make the form anew, as after a change of units."""
        if self.form is not None:
            state = self.line.state
            self._close_form()
            self.show_state(state, chosen=True)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Line up with another font."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._set_margins()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the accent along the edge of the chosen step."""
        super().paintEvent(event)
        if self.line.isChecked():
            painter = QPainter(self)
            painter.fillRect(QRect(0, 0, BAR, self.height()), QColor(tones(self).accent))
            painter.end()

    def _close_form(self) -> None:
        if self.form is not None:
            form, self.form = self.form, None
            if form.isAncestorOf(self.focusWidget() or self):
                self.line.setFocus()
            form.close_down()
            self._beneath.removeWidget(form)
            form.hide()
            form.deleteLater()

    def _set_margins(self) -> None:
        shown = [self._result, self.awaited, self.failure, self.note, self.form]
        any_shown = any(widget is not None and not widget.isHidden() for widget in shown)
        below = style.GAP if any_shown else 0
        # Forms keep room for a mark before their labels, so that labels line up with titles.
        indent = 2 * style.GRID
        self._beneath.setContentsMargins(self.line.title_left() - indent, 0, style.MARGIN, below)
        for words in (self._result, self.note):
            words.setContentsMargins(indent, 0, 0, 0)

    def restyle(self) -> None:
        """Take the colours of the scheme."""
        tone = tones(self)
        chosen = self.line.isChecked()
        set_role(self, QPalette.ColorRole.Window, tone.sunken if chosen else tone.paper)
        set_role(self.awaited, QPalette.ColorRole.Window, tone.note)
        set_role(self.failure, QPalette.ColorRole.Window, tone.error)
        stale = self.line.state.stale
        set_role(self._result, QPalette.ColorRole.WindowText, tone.faint if stale else tone.ink)


def _set(text: str) -> str:
    return breakable(held_together(typeset(text)))


def _words(parent: QWidget) -> QLabel:
    label = QLabel(parent)
    label.setWordWrap(True)
    label.hide()
    return label
