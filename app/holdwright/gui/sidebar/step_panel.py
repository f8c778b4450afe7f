"""All the route card has of one step: its line, why it failed, its note, and its form while it is chosen."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, QRect, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QApplication, QFrame, QWidget

from holdwright.gui.form.form import Form
from holdwright.gui.sidebar.step_line import StepLine
from holdwright.gui.sidebar.step_note import StepNote
from holdwright.gui.sidebar.step_state import StepState
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column, discard
from holdwright.gui.widgets.number_format import breakable, held_together, typeset
from holdwright.gui.widgets.painting import Restyled, set_role, tones
from holdwright.operations.import_sculpt import CLOSE_FLAT

_PLACED: Final = (QEvent.Type.Resize, QEvent.Type.Move, QEvent.Type.LayoutRequest, QEvent.Type.Show)

BAR: Final = 3
"""Width of the accent at the chosen step's edge, pixels."""


class _Room(QWidget):
    """Keeps a line's room in the layout, while the line itself may lie lower."""

    def __init__(self, line: StepLine, parent: QWidget) -> None:
        super().__init__(parent)
        self._line = line
        self.setSizePolicy(line.sizePolicy())

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the line's."""
        return self._line.sizeHint()

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Give the line's."""
        return self._line.minimumSizeHint()


class StepPanel(Restyled, QFrame):
    """One step.

    Parameters
    ----------
    make_form
        Makes the form of the step of an id.
    """

    def __init__(
        self, state: StepState, make_form: Callable[[str, QWidget], Form], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._make_form = make_form
        self.line = StepLine(state, self)
        self._result = TextLabel("", self, wrap=True)
        self.awaited = TextLabel("", self, wrap=True, tint="note")
        self.failure = TextLabel("", self, wrap=True, tint="error")
        self.offer = QuietButton("Close the back flat", self, primary=True)
        self.note = StepNote(self)
        self.note.left.connect(self.line.setFocus)
        self.form: Form | None = None
        shown = (self._result, self.awaited, self.failure, self.offer, self.note)
        self._beneath = column(*shown, gap=style.GRID)
        self._room = _Room(self.line, self)
        column(self._room, self._beneath, on=self, margins=(BAR, 0, 0, 0))
        self._top = 0
        self.setAutoFillBackground(True)
        self.show_state(state, chosen=False)

    def show_state(self, state: StepState, *, chosen: bool) -> None:
        """Show another state, opened or closed."""
        self.line.setChecked(chosen)
        self.line.show_state(state)
        for label, text, shown in (
            (self._result, state.result, chosen),
            (self.awaited, state.awaited, True),
            (self.failure, state.failed, True),
        ):
            label.show_words(breakable(held_together(typeset(text))) if shown else "")
        self._result.set_faint(state.stale)
        offered = CLOSE_FLAT in state.failed
        if self.offer.hasFocus() and not offered:
            self.line.setFocus()
        self.offer.setVisible(offered)
        self.note.show_note(state.note)
        if chosen and self.form is None:
            self.form = self._make_form(state.id, self)
            self._beneath.addWidget(self.form)
            self.form.show()
        elif not chosen and self.form is not None:
            self._close_form()
        self._set_margins()
        self._room.updateGeometry()
        self.restyle()

    def stick_below(self, y: int) -> None:
        """Keep the line of the open step in sight where the panel's parent is scrolled to `y`, pixels."""
        self._top = y
        lowest = max(self.height() - self.line.sizeHint().height(), 0)
        place = self._room.geometry()
        if self.form is not None:
            place.moveTop(min(max(y - self.y(), 0), lowest))
        self.line.setGeometry(place)
        self.line.raise_()

    def event(self, event: QEvent) -> bool:
        """Place the line whenever the layout was done."""
        answer = super().event(event)
        if event.type() in _PLACED:
            self.stick_below(self._top)
        return answer

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
            if form.isAncestorOf(QApplication.focusWidget() or self):
                self.line.setFocus()
            form.close_down()
            discard(self._beneath, form)

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
        set_role(self, QPalette.ColorRole.Window, tone.sunken if self.line.isChecked() else tone.paper)
