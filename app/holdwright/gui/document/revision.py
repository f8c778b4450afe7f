"""The hold compared with what it was before another sculpt was put under its recipe."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QObject, Signal

from holdwright.geometry.arrays import Floats
from holdwright.gui.document.document_state import DocumentState
from holdwright.hold.finding import Finding
from holdwright.hold.hold import WHOLE
from holdwright.pipeline.views.comparison import (
    Comparison,
    FinishedState,
    compare,
    finished_state,
    with_masses,
)
from holdwright.pipeline.views.display_results import ShownStep
from holdwright.pipeline.views.surface_distance import carried_over
from holdwright.printing.print_estimate import PrintEstimate
from holdwright.printing.print_parameters import PrintParameters


@dataclass(frozen=True, eq=False)
class FinishedHold:
    """A hold all of whose steps were done."""

    state: FinishedState
    outside: ShownStep
    """The last result in which it is whole, with its solid; without where that is no longer stored."""
    print_findings: tuple[Finding, ...] | None = None
    """What the checks of its print found; None where they were not done."""
    estimates: Mapping[str, PrintEstimate] | None = None
    """Of its print; None where they were not made."""

    def compared_with(self, after: "FinishedHold") -> Comparison:
        """Tell what changed from this hold to another one, of their prints too where both were checked."""
        checked = self.print_findings is not None and after.print_findings is not None
        return compare(self._with_print(checked), after._with_print(checked))

    def _with_print(self, checked: bool) -> FinishedState:
        state = with_masses(self.state, self.estimates or {})
        found = ((PrintParameters.name, finding) for finding in self.print_findings or () if checked)
        return replace(state, findings=(*state.findings, *found))


def finished_hold(document: DocumentState) -> FinishedHold | None:
    """Give the hold as it stands; None while steps are out of date, or where one of them failed."""
    ids = [step.id for step in document.recipe.steps]
    steps = [step for step in map(document.step, ids) if step is not None and not step.failed]
    if not steps or len(steps) < len(ids) or not all(map(document.is_current, ids)):
        return None
    outside = next((step for step in reversed(steps) if WHOLE in step.solids), steps[-1])
    state = finished_state(steps, steps[-1].features, document.safeties)
    checked = document.print_findings if document.print_current else None
    return FinishedHold(state, outside, checked, document.estimates)


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
    completed
        It tells of the print too.
    """

    changed = Signal()
    completed = Signal()

    def __init__(self, document: DocumentState) -> None:
        super().__init__(document)
        self._document = document
        self._before: FinishedHold | None = None
        self._after: FinishedHold | None = None
        self._held = False
        self.comparison: Comparison | None = None
        document.recipe_changed.connect(self.dismiss)
        document.opened.connect(self.dismiss)
        document.busy_changed.connect(self._take_busy)
        document.print_checked.connect(self._take_print)
        document.estimated.connect(self._take_print)

    @property
    def outside(self) -> ShownStep | None:
        """The old hold before it was split; None where there is no comparison."""
        return self._before.outside if self._before and self.comparison else None

    @property
    def outside_now(self) -> ShownStep | None:
        """The new hold before it was split; None where there is no comparison."""
        return self._after.outside if self._after and self.comparison else None

    def motion(self, placed: Floats) -> Floats:
        """Give the (4, 4) motion from the old hold's frame to one that the new hold's sculpt is placed in.

        The sculpts lie on each other then, as far as the new one was laid on the old one.
        """
        old, new = self.outside, self.outside_now
        if old is None or new is None:
            return np.eye(4)
        bounds = old.measures.bounds_mm if old.measures else ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
        laid = old.laid if new.laid is not None else np.asarray(np.linalg.inv(new.placement) @ old.placement)
        return carried_over((old.placement, laid), (placed, new.laid), np.mean(bounds, axis=0))

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
        self._before, self._after = None, None
        if self.comparison is not None:
            self.comparison = None
            self.changed.emit()

    def _take_busy(self, busy: bool) -> None:
        if busy or self._before is None or self.comparison is not None:
            return
        after = finished_hold(self._document)
        if after is not None:
            self._after = after
            self.comparison = self._before.compared_with(after)
            self.changed.emit()

    def _take_print(self) -> None:
        """Take in what was found of the new hold's print, and what it weighs."""
        before, known, document = self._before, self._after, self._document
        if self.comparison is None or before is None or known is None:
            return
        checked = document.print_findings if document.print_current else known.print_findings
        estimates = document.estimates or known.estimates
        if (checked, estimates) == (known.print_findings, known.estimates):
            return
        self._after = after = replace(known, print_findings=checked, estimates=estimates)
        self.comparison = before.compared_with(after)
        self.completed.emit()
