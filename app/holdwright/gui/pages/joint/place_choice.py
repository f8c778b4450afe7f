"""The best places for the bore: found in the measuring process, taken with one click."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.pages.joint.place_map import PlaceMap
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.number_format import held_together
from holdwright.hold.feature import Bore
from holdwright.joint.conditions import Conditions
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from holdwright.pipeline.place_view import PlacesRequest, PlaceView, view_places

REST_MS: Final = 400
"""How long choices must rest before the back is looked over again."""

NEAR: Final = 0.05
"""A bore so near to a place, in mm, is at it."""


class PlaceChoice(QWidget):
    """Looks the back over for what is chosen, shows it, and writes a place into the recipe.

    Parameters
    ----------
    words
        Makes a paragraph in the page's type.
    in_unit
        Gives a text with its lengths in the unit preferred.

    Signals
    -------
    busy_changed
        Whether it looks.
    """

    busy_changed = Signal(bool)

    def __init__(
        self,
        document: Document,
        words: Callable[[], QLabel],
        in_unit: Callable[[str], str],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._in_unit = in_unit
        self._document = document
        self._supervisor: GeometrySupervisor | None = None
        self._number = 0
        self._requested: PlacesRequest | None = None
        self._shown: PlacesRequest | None = None
        self._view: PlaceView | None = None
        self.map = PlaceMap(self)
        self.sentence = words()
        self.take_buttons: list[QuietButton] = []
        self._reasons: list[QLabel] = []
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST_MS)
        self._rest.timeout.connect(self._begin)
        self.map.chosen.connect(self.take)
        self._lay_out(words)
        self._show_view(None)

    @property
    def view(self) -> PlaceView | None:
        """What is shown."""
        return self._view

    def look_with(self, supervisor: GeometrySupervisor) -> None:
        """Look in another process than the one that cuts."""
        self._supervisor = supervisor
        supervisor.ended.connect(self._take_answer)
        self._document.busy_changed.connect(self._document_busy)

    def refresh(self, conditions: Conditions | None) -> None:
        """Look the back over for these conditions; None where there is nothing to look at."""
        requested = None if conditions is None else self._request(conditions)
        if requested is None:
            self._drop()
            self._show_view(None)
            return
        if requested in (self._requested, self._shown):
            return
        self._drop()
        self._requested = requested
        if not self._document.busy:
            self._rest.start()

    def show_again(self) -> None:
        """Write what is shown anew, as in another unit."""
        if self._view is not None:
            self._show_view(self._view)

    def take(self, number: int) -> None:
        """Bore at one of the places: one entry to undo."""
        if self._view is None or self._shown is None or number >= len(self._view.best):
            return
        place = self._view.best[number].place
        at = (round(place.x, 2), round(place.y, 2))
        self._document.edits.edit(self._shown.step, {"place": "at", "at": at})

    def _request(self, conditions: Conditions) -> PlacesRequest | None:
        """Say which bore is placed: the one selected, else the first."""
        document = self._document
        steps = [step for step in document.recipe.steps if step.enabled]
        bores = [step for step in steps if step.operation == CutBore.name]
        step = next((step for step in bores if step.id == document.selected), bores[0] if bores else None)
        if step is None or steps.index(step) == 0:
            return None
        before = document.step(steps[steps.index(step) - 1].id)
        if before is None or before.failed or not document.is_current(before.id):
            return None
        if not isinstance(step.parameters, CutBoreParameters):
            return None
        present = self._present(step.id) if step.parameters.count == 1 else None
        return PlacesRequest(step.id, step.parameters, before.id, before.key, conditions, present)

    def _present(self, step_id: str) -> tuple[float, float] | None:
        """Give where a step has bored, as it last did."""
        shown = self._document.step(step_id)
        if shown is None or shown.failed or not self._document.is_current(step_id):
            return None
        bores = [feature for feature in shown.features if isinstance(feature, Bore)]
        return (bores[-1].x, bores[-1].y) if bores else None

    def _begin(self) -> None:
        if self._supervisor is None or self._requested is None or self._document.busy or self._number:
            return
        self._number = self._supervisor.send(view_places, self._requested, self._document.recipe)
        self.sentence.setText("Looking for the best places.")
        self.sentence.show()
        self.busy_changed.emit(True)

    def _document_busy(self, busy: bool) -> None:
        if busy:
            self._rest.stop()
        elif self._requested is not None:
            self._rest.start()

    def _take_answer(self, number: int, what: object, failed: str, stopped: bool) -> None:
        if number != self._number:
            return
        requested, self._requested, self._number = self._requested, None, 0
        self._shown = requested
        self._show_view(what if isinstance(what, PlaceView) else None)
        if not isinstance(what, PlaceView):
            self.sentence.setText("Stopped as asked; change a choice to look again." if stopped else failed)
            self.sentence.show()
        self.busy_changed.emit(False)

    def _drop(self) -> None:
        """Want nothing any more; what still comes of it is passed over."""
        self._rest.stop()
        self._requested = None
        number, self._number = self._number, 0
        if number and self._supervisor is not None:
            self._supervisor.stop(number)
            self.busy_changed.emit(False)

    def _show_view(self, view: PlaceView | None) -> None:
        self._view = view
        self.map.setVisible(view is not None)
        self.sentence.setVisible(view is not None and view.present is not None)
        best = view.best if view is not None else ()
        for number, (button, reason) in enumerate(zip(self.take_buttons, self._reasons, strict=True)):
            shown = number < len(best)
            button.setVisible(shown)
            # Where the bore is already, the sentence above says the same.
            reason.setVisible(shown and not self._is_present(best[number].place.x, best[number].place.y))
            if shown:
                reason.setText(held_together(self._in_unit(best[number].reason)))
        if view is None:
            self._shown = None
            return
        self.map.show_view(view)
        if view.present is not None:
            x, y = view.present.place.x, view.present.place.y
            said = f"The bore is at {x:.1f}, {y:.1f} mm. {view.present.reason}"
            self.sentence.setText(held_together(self._in_unit(said)))
        for number, (button, found) in enumerate(zip(self.take_buttons, best, strict=False), start=1):
            place = found.place
            button.setEnabled(not self._is_present(place.x, place.y))
            button.setText(self._in_unit(f"{number}: bore at {place.x:.1f}, {place.y:.1f} mm"))

    def _is_present(self, x: float, y: float) -> bool:
        present = self._view.present if self._view is not None else None
        return present is not None and abs(present.place.x - x) + abs(present.place.y - y) < NEAR

    def _lay_out(self, words: Callable[[], QLabel]) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(style.GRID)
        column.addWidget(self.map)
        column.addWidget(self.sentence)
        for number in range(3):
            button, reason = QuietButton("", self), words()
            button.setToolTip(f"Bore at place {number + 1}; undone like any other change")
            button.clicked.connect(lambda _on=False, number=number: self.take(number))
            self.take_buttons.append(button)
            self._reasons.append(reason)
            column.addWidget(button)
            column.addWidget(reason)
