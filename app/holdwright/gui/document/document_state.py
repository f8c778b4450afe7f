"""What is open in the window, as widgets read it: the session, its results, and signals of their changes."""

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.solid_cache import SolidCache
from holdwright.hold.finding import Finding
from holdwright.pipeline.display_results import ShownSculpt, ShownStep
from holdwright.pipeline.recipe import Recipe
from holdwright.session import Session


class DocumentState(QObject):
    """The open document as widgets read it.

    Attributes
    ----------
    supervisor
        Of the process that works for it.
    session
        The open document without Qt; None in the empty window.
    sculpt
        The raw sculpt, once read.
    failure
        The sentence that ended the last job; blank when it went well.

    Signals
    -------
    leaving, opened
        Another document is to be opened, or none; it is open.
    saved
        The recipe's file was written.
    recipe_changed, selected_changed, path_changed
        As they say; `path_changed` also when the document becomes dirty or clean.
    step_shown
        A step's result has arrived (its id), or its failure.
    sculpt_shown
        The raw sculpt has been read.
    sculpt_revised
        It is not the one the recipe was last saved for: its file has changed between sessions.
    reported, busy_changed
        How far the work is, with a short text; whether any goes on.
    failed, said
        A sentence for the user: something could not be done; something was done.
    """

    leaving = Signal()
    opened = Signal()
    saved = Signal()
    recipe_changed = Signal()
    selected_changed = Signal()
    path_changed = Signal()
    step_shown = Signal(str)
    sculpt_shown = Signal()
    reported = Signal(float, str)
    busy_changed = Signal(bool)
    sculpt_revised = Signal()
    failed = Signal(str)
    said = Signal(str)

    def __init__(self, supervisor: GeometrySupervisor) -> None:
        super().__init__()
        self.supervisor = supervisor
        self.session: Session | None = None
        self._kept = SolidCache()
        self.sculpt: ShownSculpt | None = None
        self.failure = ""

    @property
    def recipe(self) -> Recipe:
        """The recipe as it is; without steps in the empty window."""
        return self.session.recipe if self.session else Recipe()

    @property
    def selected(self) -> str:
        """Id of the step worked on, or blank."""
        return (self.session.selected or "") if self.session else ""

    @property
    def sculpt_path(self) -> Path | None:
        """The sculpt's file."""
        source = self.recipe.source
        return Path(source.path) if source else None

    @property
    def path(self) -> Path | None:
        """The recipe's file."""
        return self.session.path if self.session else None

    @property
    def dirty(self) -> bool:
        """Whether the recipe differs from its file."""
        return bool(self.session and self.session.is_dirty)

    @property
    def untouched(self) -> bool:
        """Whether it is no more than a sculpt under the recipe to start with: nothing of it is the hand's."""
        history = self.session.history if self.session else None
        return bool(history and self.path is None and not history.past and not history.future)

    @property
    def busy(self) -> bool:
        """Whether geometry is being made."""
        return self.supervisor.busy

    @property
    def undo_text(self) -> str:
        """What would be undone, blank for nothing."""
        return (self.session and self.session.history.undo_text) or ""

    @property
    def redo_text(self) -> str:
        """What would be redone, blank for nothing."""
        return (self.session and self.session.history.redo_text) or ""

    def step(self, step_id: str) -> ShownStep | None:
        """Give what a step last gave, with its solids where they are still kept; None before it gave any."""
        result = self.session.results.last(step_id) if self.session else None
        if not isinstance(result, ShownStep):
            return None
        return replace(result, solids=self._kept.get(result.key))

    def is_current(self, step_id: str) -> bool:
        """Tell whether a step's result is still what it would give."""
        return bool(self.session and self.session.results.current(step_id, self.recipe) is not None)

    @property
    def findings(self) -> tuple[tuple[str, Finding], ...]:
        """All findings that are current, each with its step's id."""
        return self.session.results.findings(self.session.recipe) if self.session else ()
