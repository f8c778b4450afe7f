"""The open document as the window sees it: a session, the process that does its steps, and signals."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from holdwright.errors import HoldwrightError, RecipeError
from holdwright.gui.document.edits import Edits
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.missing_input import last_before_awaited
from holdwright.gui.document.pieces import Pieces
from holdwright.gui.document.recipe_messages import recipe_sentence
from holdwright.gui.document.solid_cache import SolidCache
from holdwright.hold.finding import Finding
from holdwright.pipeline.display_results import (
    ShownSculpt,
    ShownSolid,
    ShownStep,
    StepsRequest,
    show_steps,
)
from holdwright.pipeline.history import History
from holdwright.pipeline.recipe import Recipe
from holdwright.pipeline.recipe_file import find_recipe, load_recipe
from holdwright.printable import printable
from holdwright.session import Change, Session, open_session

AUTOSAVE_MS = 800
"""How long the hand must rest before the document is kept safe."""

AUTOSAVE_AT_LEAST_MS = 10_000
"""How long it may be edited without a rest before it is."""

STARTER = "starter"


class Document(QObject):
    """What every widget talks to. Commands that cannot be carried out end in `failed`, never in an exception.

    Attributes
    ----------
    supervisor
        Of the process that works for it.

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

    def __init__(self, supervisor: GeometrySupervisor, autosaves: Path) -> None:
        super().__init__()
        self.supervisor = supervisor
        self._autosaves = autosaves
        self._session: Session | None = None
        self._unlisten: Callable[[], None] = lambda: None
        self._kept = SolidCache()
        self._sculpt: ShownSculpt | None = None
        self._read_from: Path | None = None
        self._jobs: dict[int, Recipe] = {}
        self._failure = ""
        self.edits = Edits(self.do)
        self.pieces = Pieces(self)
        self._autosave = QTimer(self, singleShot=True, interval=AUTOSAVE_MS)
        self._autosave.timeout.connect(self._keep)
        self._autosave_due = QTimer(self, singleShot=True, interval=AUTOSAVE_AT_LEAST_MS)
        self._autosave_due.timeout.connect(self._keep)
        supervisor.sent.connect(self._take)
        supervisor.ended.connect(self._take_end)
        supervisor.reported.connect(lambda _number, fraction, text: self.reported.emit(fraction, text))
        supervisor.busy_changed.connect(self.busy_changed)

    # What is open

    @property
    def session(self) -> Session | None:
        """The open document without Qt; None in the empty window."""
        return self._session

    @property
    def recipe(self) -> Recipe:
        """The recipe as it is; without steps in the empty window."""
        return self._session.recipe if self._session else Recipe()

    @property
    def selected(self) -> str:
        """Id of the step worked on, or blank."""
        return (self._session.selected or "") if self._session else ""

    @property
    def sculpt(self) -> ShownSculpt | None:
        """The raw sculpt, once read."""
        return self._sculpt

    @property
    def sculpt_path(self) -> Path | None:
        """The sculpt's file."""
        source = self.recipe.source
        return Path(source.path) if source else None

    @property
    def path(self) -> Path | None:
        """The recipe's file."""
        return self._session.path if self._session else None

    @property
    def dirty(self) -> bool:
        """Whether the recipe differs from its file."""
        return bool(self._session and self._session.is_dirty)

    @property
    def untouched(self) -> bool:
        """Whether it is no more than a sculpt under the recipe to start with: nothing of it is the hand's."""
        history = self._session.history if self._session else None
        return bool(history and self.path is None and not history.past and not history.future)

    @property
    def busy(self) -> bool:
        """Whether geometry is being made."""
        return self.supervisor.busy

    @property
    def failure(self) -> str:
        """The sentence that ended the last job; blank when it went well."""
        return self._failure

    @property
    def undo_text(self) -> str:
        """What would be undone, blank for nothing."""
        history = self._session.history if self._session else None
        return (history.undo_text or "") if history else ""

    @property
    def redo_text(self) -> str:
        """What would be redone, blank for nothing."""
        history = self._session.history if self._session else None
        return (history.redo_text or "") if history else ""

    def step(self, step_id: str) -> ShownStep | None:
        """Give what a step last gave, with its solids where they are still kept; None before it gave any."""
        result = self._session.results.last(step_id) if self._session else None
        if not isinstance(result, ShownStep):
            return None
        return replace(result, solids=self._kept.get(result.key))

    def is_current(self, step_id: str) -> bool:
        """Tell whether a step's result is still what it would give."""
        return bool(
            self._session and self._session.results.current(step_id, self._session.recipe) is not None
        )

    def solids_before(self, step_id: str) -> Mapping[str, ShownSolid]:
        """Give the solids as they enter a step."""
        ids = [step.id for step in self.recipe.steps]
        place = ids.index(step_id) if step_id in ids else 0
        before = self.step(ids[place - 1]) if place > 0 else None
        return before.solids if before else {}

    @property
    def findings(self) -> tuple[tuple[str, Finding], ...]:
        """All findings that are current, each with its step's id."""
        return self._session.results.findings(self._session.recipe) if self._session else ()

    # Opening and saving

    def open_session(self, session: Session | None) -> None:
        """Make a session the open document, or None for the empty window."""
        if self._session is not None:
            self.leaving.emit()
        self._unlisten()
        self.supervisor.stop()
        self._session, self._sculpt, self._failure = session, None, ""
        self._unlisten = session.listen(self._heard) if session else (lambda: None)
        self.opened.emit()
        self.recipe_changed.emit()
        self.path_changed.emit()
        self.selected_changed.emit()
        self.replay()

    def open_recipe(self, path: Path, kept_in: Sequence[Path] = ()) -> bool:
        """Open a recipe's file, and tell whether that went well; `kept_in` as in `open_session`."""
        try:
            session = open_session(path, autosaves=self._autosaves, kept_in=kept_in)
        except RecipeError as error:
            self.failed.emit(recipe_sentence(error, path))
            return False
        except HoldwrightError as error:
            self.failed.emit(str(error))
            return False
        self.open_session(session)
        return True

    def start_with_sculpt(self, path: Path) -> bool:
        """Begin a new document: the starter recipe on a sculpt."""
        try:
            recipe = load_recipe(find_recipe(STARTER))
        except HoldwrightError as error:
            self.failed.emit(str(error))
            return False
        session = Session(History.of(recipe), autosaves=self._autosaves)
        session.use_sculpt(path)
        fresh = Session(History.of(session.recipe), autosaves=self._autosaves, saved=recipe)
        self.open_session(fresh)
        return True

    def replace_sculpt(self, path: Path) -> None:
        """Put another sculpt under the open recipe and replay it."""
        self.do(lambda session: session.use_sculpt(path))

    def save(self, path: Path | None = None) -> bool:
        """Save the recipe, and tell whether that went well."""
        if self.do(lambda session: session.save(path)) and self.path:
            self.saved.emit()
            self.said.emit(f"Saved {printable(self.path.name)}")
            return True
        return False

    # Working

    def replay(self) -> None:
        """Have the recipe replayed from its first changed step; also a retry after a failure.

        No further than to a step that waits for a click in the view: what it gave before stays, to click on.
        """
        source = self.recipe.source
        if self._session is None or source is None:
            return
        have = self._kept.keys | ({self._sculpt.digest} if self._sculpt else set())
        until = last_before_awaited(self.recipe)
        request = StepsRequest(until, frozenset(have))
        self._jobs[self.supervisor.send(show_steps, request, self.recipe, latest_only=True)] = self.recipe

    def cancel(self) -> None:
        """Give up the work that goes on; what was made stays."""
        self.supervisor.stop()

    def close(self) -> None:
        """Keep the document safe and end the process."""
        if self._autosave.isActive():
            self._keep()
        self._unlisten()
        self._unlisten = lambda: None
        self.supervisor.close()

    def do(self, command: Callable[[Session], object]) -> bool:
        """Have the session do something, and tell whether it could; a refusal ends in `failed`."""
        if self._session is None:
            return False
        try:
            command(self._session)
        except HoldwrightError as error:
            self.failed.emit(str(error))
            return False
        return True

    def _keep(self) -> None:
        self._autosave.stop()
        self._autosave_due.stop()
        self.do(lambda session: session.autosave())

    def _heard(self, change: Change) -> None:
        if change == "recipe":
            self._autosave.start()
            if not self._autosave_due.isActive():
                self._autosave_due.start()
            # The geometry process works while the window's parts take the change in.
            self.replay()
            self.recipe_changed.emit()
            self.path_changed.emit()
        elif change == "selected":
            self.selected_changed.emit()
        elif change == "file":
            self.path_changed.emit()

    def _take(self, number: int, content: object) -> None:
        if isinstance(content, ShownSculpt):
            self._take_sculpt(number, content)
        elif isinstance(content, ShownStep):
            self._take_step(number, content)

    def _take_sculpt(self, number: int, sculpt: ShownSculpt) -> None:
        before, self._sculpt = self._sculpt, sculpt
        made_by, read_before = self._jobs.get(number), self._read_from
        path = Path(made_by.source.path) if made_by and made_by.source else None
        self._read_from = path
        if path is not None and self._session is not None and self._session.sculpts.took(path, sculpt.digest):
            if before is not None and path == read_before:
                self.said.emit(f"{printable(path.name)} was read anew: it has changed on the disk.")
            else:
                self.sculpt_revised.emit()
        self.sculpt_shown.emit()

    def _take_step(self, number: int, step: ShownStep) -> None:
        made_by = self._jobs.get(number)
        if self._session is None or made_by is None:
            return
        known = self._session.results.current(step.id, self.recipe)
        if step.solids:
            self._kept.put(step.key, step.solids)
        self._session.results.took(replace(step, solids={}), made_by)
        if step.solids or known is None or step.failed or known.key != step.key:
            self.step_shown.emit(step.id)

    def _take_end(self, number: int, _result: object, failed: str, stopped: bool) -> None:
        made_by = self._jobs.pop(number, None)
        self._jobs = {later: recipe for later, recipe in self._jobs.items() if later > number}
        if made_by is None or stopped:
            return
        self._failure = failed
        if failed:
            self.failed.emit(failed)
