"""Where the hold breaks first: computed when that is asked for, and no sooner."""

from typing import Final

from PySide6.QtCore import QObject

from holdwright.gui.document.document import Document
from holdwright.gui.document.hold_work import HoldWork, Key, finished_step
from holdwright.pipeline.views.display_results import ShownStep
from holdwright.pipeline.views.strength_view import StrengthRequest, StrengthView, view_strength

NOT_RUN: Final = "Not computed yet: it takes up to a minute, or several for a large hold."
STALE: Final = "Hold or settings have changed since; these figures are of before."


class StrengthWork(HoldWork[StrengthView]):
    """Keeps the strength of the hold it was last computed for.

    Attributes
    ----------
    finer
        Whether the next is computed on fine cells.
    """

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        self.finer = False
        self._asked_for: Key | None = None
        super().__init__(document, view_strength, self._request, StrengthView, parent)

    @property
    def can_run(self) -> bool:
        """Whether there is a finished hold, whose strength is not known yet."""
        return not self.is_current and finished_step(self.document)[0] is not None

    @property
    def running(self) -> bool:
        """Whether it is being computed."""
        return self.task.requested is not None

    def run(self) -> None:
        """Compute for hold and settings as they are."""
        step, _ = finished_step(self.document)
        if step is not None:
            self._asked_for = self.key_of(step)
            self.want()

    def cancel(self) -> None:
        """Give the computation up."""
        self._asked_for = None
        self.refresh()

    def key_of(self, step: ShownStep) -> Key:
        """Give all that strength goes by: also what the joint is judged for."""
        return (*super().key_of(step), self.document.recipe.joint)

    def begins(self, step: ShownStep) -> bool:
        """Tell whether it was asked for of just this."""
        return self.key_of(step) == self._asked_for

    def wait(self) -> None:
        """Show what was computed before, or that nothing was."""
        self._show(self.view, STALE if self.view is not None else NOT_RUN, current=False)

    def _show(self, view: StrengthView | None, sentence: str, *, current: bool) -> None:
        self.document.take_strength(view.result if view is not None else None, current=current)
        super()._show(view, sentence, current=current)

    def _request(self, step: ShownStep) -> StrengthRequest:
        return StrengthRequest(step.id, step.key, "fine" if self.finer else "preview")
