"""The hold compared with what it was before another sculpt was put under its recipe."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from holdwright.gui.document.document_state import DocumentState
from holdwright.hold.hold import WHOLE
from holdwright.pipeline.comparison import Comparison, FinishedState, compare, finished_state
from holdwright.pipeline.display_results import ShownStep


@dataclass(frozen=True, eq=False)
class FinishedHold:
    """A hold all of whose steps were done."""

    state: FinishedState
    outside: ShownStep
    """The last result in which it is whole, with its solid; without where that is no longer stored."""


def finished_hold(document: DocumentState) -> FinishedHold | None:
    """Give the hold as it stands; None while steps are out of date, or where one of them failed."""
    ids = [step.id for step in document.recipe.steps]
    steps = [step for step in map(document.step, ids) if step is not None and not step.failed]
    if not steps or len(steps) < len(ids) or not all(map(document.is_current, ids)):
        return None
    outside = next((step for step in reversed(steps) if WHOLE in step.solids), steps[-1])
    return FinishedHold(finished_state(steps, steps[-1].features, document.spin), outside)


class Revision(QObject):
    """Keeps the hold before the last change of sculpt, from that change to the next edit.

    Attributes
    ----------
    comparison
        What changed, once all steps are done on the new sculpt.

    Signals
    -------
    changed
        There is a comparison, or none any longer.
    """

    changed = Signal()

    def __init__(self, document: DocumentState) -> None:
        super().__init__(document)
        self._document = document
        self._before: FinishedHold | None = None
        self._held = False
        self.comparison: Comparison | None = None
        document.recipe_changed.connect(self.dismiss)
        document.opened.connect(self.dismiss)
        document.busy_changed.connect(self._take_busy)

    @property
    def outside(self) -> ShownStep | None:
        """The old hold before it was split; None where there is no comparison."""
        return self._before.outside if self._before and self.comparison else None

    @property
    def awaited(self) -> FinishedHold | None:
        """The old hold while there is no new one yet to compare it with."""
        return self._before if self.comparison is None else None

    def begin(self, before: FinishedHold) -> None:
        """Compare the hold with this one as soon as the recipe is done."""
        self._before = before

    @contextmanager
    def going_on(self) -> Iterator[None]:
        """Take what changes in the recipe meanwhile for part of the change of sculpt."""
        self._held = True
        try:
            yield
        finally:
            self._held = False

    def dismiss(self) -> None:
        """Let the old hold and the comparison go."""
        if self._held:
            return
        self._before = None
        if self.comparison is not None:
            self.comparison = None
            self.changed.emit()

    def _take_busy(self, busy: bool) -> None:
        if busy or self._before is None or self.comparison is not None:
            return
        after = finished_hold(self._document)
        if after is not None:
            self.comparison = compare(self._before.state, after.state)
            self.changed.emit()
