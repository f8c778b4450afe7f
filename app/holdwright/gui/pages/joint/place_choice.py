"""The best places for the bore: found in the measuring process, taken with one click."""

from collections.abc import Callable
from functools import partial
from typing import Final

from PySide6.QtWidgets import QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.resting_task import RestingTask
from holdwright.gui.pages.joint.place_map import PlaceMap
from holdwright.gui.pages.page import paragraph
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import TextLabel, column
from holdwright.gui.widgets.number_format import held_together
from holdwright.hold.feature import Bore
from holdwright.joint.conditions import Conditions
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from holdwright.pipeline.views.place_view import PlacesRequest, PlaceView, view_places

STOPPED: Final = "Stopped as asked; change a choice to look again."

REST_MS: Final = 400
"""How long choices must rest before the back is looked over again."""

NEAR: Final = 0.05
"""A bore so near to a place, in mm, is at it."""


class PlaceChoice(QWidget):
    """Looks the back over for what is chosen, shows it, and writes a place into the recipe.

    Parameters
    ----------
    in_unit
        Gives a text with its lengths in the unit preferred.

    Attributes
    ----------
    view
        The places shown; None for none.
    task
        The search that waits or goes on; it needs another process than the one that cuts.
    """

    def __init__(
        self, document: Document, in_unit: Callable[[str], str], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._in_unit = in_unit
        self._document = document
        self._shown: PlacesRequest | None = None
        self.view: PlaceView | None = None
        self.sentence = paragraph("", self, faint=True)
        self.task = RestingTask(document, view_places, REST_MS, self)
        self.task.begun.connect(lambda: self.sentence.show_words("Looking for the best places."))
        self.task.ended.connect(self._end)
        self.map = PlaceMap(self)
        self.take_buttons: list[QuietButton] = []
        self._reasons: list[TextLabel] = []
        self.map.chosen.connect(self.take)
        self._lay_out()
        self._show_view(None)

    def refresh(self, conditions: Conditions | None) -> None:
        """Look the back over for these conditions; None where there is nothing to look at."""
        requested = None if conditions is None else self._request(conditions)
        if requested is None:
            self.task.drop()
            self._show_view(None)
        elif requested not in (self.task.requested, self._shown):
            self.task.request(requested)

    def show_again(self) -> None:
        """Write what is shown anew, as in another unit."""
        if self.view is not None:
            self._show_view(self.view)

    def take(self, number: int) -> None:
        """Bore at one of the places: one entry to undo."""
        if self.view is None or self._shown is None or number >= len(self.view.best):
            return
        place = self.view.best[number].place
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

    def _end(self, requested: PlacesRequest, view: object, failed: str, stopped: bool) -> None:
        self._shown = requested
        self._show_view(view if isinstance(view, PlaceView) else None)
        if not isinstance(view, PlaceView):
            self.sentence.show_words(STOPPED if stopped else failed)

    def _show_view(self, view: PlaceView | None) -> None:
        self.view = view
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
        present = self.view.present if self.view is not None else None
        return present is not None and abs(present.place.x - x) + abs(present.place.y - y) < NEAR

    def _lay_out(self) -> None:
        alone = "For the bolt alone: safeties here leave out wood screws and what a relieved back adds."
        stack = column(paragraph(alone, self, faint=True), self.map, self.sentence, on=self, gap=style.GRID)
        for number in range(3):
            tip = f"Bore at place {number + 1}; undone like any other change"
            button = QuietButton("", self, tip=tip, clicked=partial(self.take, number))
            self.take_buttons.append(button)
            self._reasons.append(paragraph("", self, faint=True))
            stack.addWidget(button)
            stack.addWidget(self._reasons[-1])
