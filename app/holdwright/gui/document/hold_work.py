"""What is computed of the finished hold in a process of its own, kept in step with hold and settings."""

from collections.abc import Callable
from typing import Final, Generic, TypeVar

from PySide6.QtCore import QObject, Signal

from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.resting_task import RestingTask
from holdwright.gui.document.step_texts import missing_input, title_of, without_step
from holdwright.pipeline.views.display_results import ShownStep
from holdwright.pipeline.views.geometry_worker import Work

REST_MS: Final = 600
"""How long document and settings must rest before they are computed for."""

MOST_UNASKED: Final = 500_000
"""A hold of more triangles is computed only once a page asks for it: it takes long, and much memory."""

COMPUTING: Final = "Computing."
NO_HOLD: Final = "There is no hold yet: open a sculpt, or drop one on the window."
WAITS: Final = "The hold is not finished yet."
STOPPED: Final = "Stopped as asked; change a setting, or open this page again."
UNSIZED: Final = "The hold has no true size yet; add a step Scale to envelope."
LARGE: Final = "Not computed yet: the hold is large. Open its page to have it computed."

View = TypeVar("View")
Key = tuple[object, ...]


class HoldWork(QObject, Generic[View]):
    """Keeps something computed of the hold as it is.

    Parameters
    ----------
    work, request_of
        Does it; what it is given for the last step's result.
    kind
        Class of what that gives.

    Attributes
    ----------
    view
        What was computed last; None where there is none, or the hold fails.
    made_for
        All that it was computed from: the last step's id and key, and the settings.
    is_current
        Whether that is of the hold and the settings as they are.
    sentence
        Why not; blank where it is.

    Signals
    -------
    changed
        One of these.
    """

    changed = Signal()

    def __init__(
        self,
        document: Document,
        work: Work,
        request_of: Callable[[ShownStep], object],
        kind: type[View],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.document, self._request_of, self._kind = document, request_of, kind
        self._wanted = False
        self.made_for: Key | None = None
        self._requested_for: Key | None = None
        self._failed = ""
        self.view: View | None = None
        self.is_current, self.sentence = False, WAITS
        self.task = RestingTask(document, work, REST_MS, self)
        self.task.ended.connect(self._take)
        for signal in (document.recipe_changed, document.step_shown, document.busy_changed):
            signal.connect(self.refresh)
        document.opened.connect(self._forget)

    def use(self, supervisor: GeometrySupervisor) -> None:
        """Have the work done by a process."""
        self.task.use(supervisor)

    def want(self) -> None:
        """Compute also a large hold from now on; also another try after a failure."""
        if self._failed:
            self.made_for, self._requested_for, self._failed = None, None, ""
        self._wanted = True
        self.refresh()

    def refresh(self) -> None:
        """Have the hold computed where it, or what it is printed with, is another than before."""
        step, sentence = finished_step(self.document)
        key = self.key_of(step) if step else None
        if step is None:
            self._requested_for = None
            self.task.drop()
            if self.document.busy:
                self._show(self.view, COMPUTING, current=False)
            elif self.document.stopped:  # what is shown is as before the change, and so is what is said of it
                self._show(self.view, sentence, current=False)
            else:
                self.made_for = None
                self._show(None, sentence, current=False)
        elif key == self.made_for:
            self._show(self.view, self._failed, current=not self._failed)
        elif self.begins(step):
            if key != self._requested_for:
                self._requested_for = key
                self.task.request(self._request_of(step))
            self._show(self.view, COMPUTING, current=False)
        else:
            self._requested_for = None
            self.task.drop()
            self.wait()

    def key_of(self, step: ShownStep) -> Key:
        """Give all that the work on a result goes by."""
        return step.id, step.key, self.document.recipe.print

    def begins(self, step: ShownStep) -> bool:
        """Tell whether to compute for a result; a large one only once a page has asked."""
        return self._wanted or triangles_of(step) <= MOST_UNASKED

    def wait(self) -> None:
        """Show why nothing is computed although there is a hold."""
        self._show(None, LARGE, current=False)

    def _show(self, view: View | None, sentence: str, *, current: bool) -> None:
        shown = self.view, self.sentence, self.is_current
        self.view, self.sentence, self.is_current = view, sentence, current
        if shown != (view, sentence, current):
            self.changed.emit()

    def _take(self, _request: object, view: object, failed: str, stopped: bool) -> None:
        self.made_for, self._requested_for = self._requested_for, None
        if isinstance(view, self._kind):
            self._failed = ""
            self._show(view, "", current=True)
        else:
            self._failed = STOPPED if stopped else failed
            self._show(None, self._failed, current=False)

    def _forget(self) -> None:
        self.task.drop()
        self._wanted = False
        self.made_for, self._requested_for, self._failed = None, None, ""
        self._show(None, WAITS, current=False)


def triangles_of(step: ShownStep) -> int:
    """Count the triangles of a result."""
    return sum(len(solid.surface.triangles) for solid in step.solids.values())


def finished_step(document: Document) -> tuple[ShownStep | None, str]:
    """Give the result of the last step that is done, or why the hold is not finished."""
    steps = [step for step in document.recipe.steps if step.enabled]
    if not steps:
        return None, NO_HOLD
    for step in steps:
        shown = document.step(step.id) if document.is_current(step.id) else None
        if missing_input(step):
            return None, f"{WAITS} {title_of(step.operation)} needs a click in the view."
        if shown is not None and shown.failed:
            return None, f"{WAITS} {title_of(step.operation)} failed: {without_step(shown.failed)}"
        if shown is None:
            return None, WAITS
    last = document.step(steps[-1].id)
    return (last, "") if last is not None and last.sized else (None, UNSIZED)
