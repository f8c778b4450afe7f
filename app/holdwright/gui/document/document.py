"""The open document as the window sees it: a session, the process that does its steps, and signals."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QTimer

from holdwright.errors import HoldwrightError, RecipeError
from holdwright.files.on_disk import digest_of
from holdwright.gui.document.document_state import DocumentState
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.piece_model import Pieces
from holdwright.gui.document.revision import Revision, finished_hold
from holdwright.gui.document.step_texts import last_step_with_input, recipe_sentence
from holdwright.hold.earlier_sculpt import EarlierSculpt
from holdwright.pipeline.recipes.history import History, replaced_sculpt
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.replaying.following import followed
from holdwright.pipeline.views.display_results import (
    EarlierSteps,
    ShownJoint,
    ShownSculpt,
    ShownStep,
    StepsRequest,
    show_steps,
)
from holdwright.printable import printable
from holdwright.session import Change, Session, open_session

AUTOSAVE_MS = 800
"""How long edits must rest before the document is stored safely."""

AUTOSAVE_AT_LEAST_MS = 10_000
"""How long it may be edited without a rest before it is."""

STARTER = "starter"
OPEN_AGAIN = "What was open is open again."


class Document(DocumentState):
    """What widgets work with; a command that cannot be carried out ends in `failed`, not in an exception."""

    def __init__(self, supervisor: GeometrySupervisor, autosaves: Path) -> None:
        super().__init__(supervisor)
        self._autosaves = autosaves
        self._unlisten: Callable[[], None] = lambda: None
        self._read_from: Path | None = None
        self._jobs: dict[int, Recipe] = {}
        self._latest = 0
        self._replaced: Session | None = None
        self.pieces = Pieces(self)
        self.revision = Revision(self)
        self._autosave = QTimer(self, singleShot=True, interval=AUTOSAVE_MS)
        self._autosave.timeout.connect(self._keep)
        self._autosave_due = QTimer(self, singleShot=True, interval=AUTOSAVE_AT_LEAST_MS)
        self._autosave_due.timeout.connect(self._keep)
        supervisor.sent.connect(self._take)
        supervisor.ended.connect(self._take_end)
        supervisor.reported.connect(lambda _number, fraction, text: self.reported.emit(fraction, text))
        supervisor.busy_changed.connect(self.busy_changed)

    # Opening and saving

    def open_session(self, session: Session | None) -> None:
        """Make a session the open document, or None for the empty window."""
        if self.session is not None:
            self.leaving.emit()
        self._unlisten()
        self.supervisor.stop()
        self.session, self.sculpt, self.failure, self._latest = session, None, "", 0
        self._replaced = None
        self._set_stopped(False)
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
        except HoldwrightError as error:
            sentence = recipe_sentence(error, path) if isinstance(error, RecipeError) else str(error)
            self.failed.emit(sentence)
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
        self.start_with(recipe, path)
        return True

    def start_with(self, recipe: Recipe, sculpt: Path, path: Path | None = None) -> None:
        """Begin a new document: a recipe on a sculpt; `path` is the recipe's file, where it has one.

        A sculpt that cannot be read is told of, and what was open is open again.
        """
        replaced = self.session if self.sculpt is not None else None
        session = Session(History.of(recipe), autosaves=self._autosaves)
        session.use_sculpt(sculpt)
        history = History.of(session.recipe)
        self.open_session(Session(history, path, autosaves=self._autosaves, saved=recipe))
        self._replaced = replaced

    def replace_sculpt(self, path: Path) -> None:
        """Put another sculpt under the open recipe, replay it, and compare what comes of it."""
        before = finished_hold(self)
        if self.do(lambda session: session.use_sculpt(path)) and before is not None:
            self.revision.begin(before)

    def read_again(self) -> None:
        """Replay the recipe on the sculpt as its file is now, and compare what comes of it."""
        if self.session is None:
            return
        before = self.revision.awaited or finished_hold(self)
        self.revision.dismiss()
        if self.sculpt_path is not None:
            self.session.use_sculpt(self.sculpt_path)
        self.session.results.outdate()
        self.replay()
        if before is not None:
            self.revision.begin(before)

    def look_at_sculpt(self) -> None:
        """Have what is sent next go by where things were, where the sculpt's file has other bytes by now."""
        path = self.sculpt_path
        if self.session is None or self.sculpt is None or path is None:
            return
        with suppress(OSError):  # gone: what was read of it stays
            if digest_of(path) != self.sculpt.digest:
                self.session.use_sculpt(path)

    def save(self, path: Path | None = None) -> bool:
        """Save the recipe, and tell whether that went well."""
        if self.do(lambda session: session.save(path)) and self.path:
            self.saved.emit()
            self.said.emit(f"Saved {printable(self.path.name)}")
            return True
        return False

    def discard_changes(self) -> None:
        """Leave the recipe as its file has it: what was changed since is not kept anywhere."""
        self._autosave.stop()
        self._autosave_due.stop()
        self.do(lambda session: session.autosave(as_saved=True))

    # Working

    def replay(self) -> None:
        """Have the recipe replayed from its first changed step; also a retry after a failure.

        No further than to a step that needs a click in the view: what it gave before stays, to click on.
        """
        source = self.recipe.source
        if self.session is None or source is None:
            return
        have = self._kept.keys | ({self.sculpt.digest} if self.sculpt else set())
        until = last_step_with_input(self.recipe)
        # The joint of what is still being dragged is judged once it is let go.
        request = StepsRequest(until, frozenset(have), judged=not self.session.history.present.tag)
        self._set_stopped(False)
        self._latest = self.supervisor.send(show_steps, request, self.recipe, latest_only=True)
        self._jobs[self._latest] = self.recipe

    def close(self) -> None:
        """Keep the document safe and end the process."""
        if self._autosave.isActive():
            self._keep()
        self._unlisten()
        self._unlisten = lambda: None
        self.supervisor.close()

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
        elif change == "followed":
            with self.revision.going_on():
                self.recipe_changed.emit()
            self.path_changed.emit()
        elif change == "settled":
            self.replay()
        elif change == "selected":
            self.selected_changed.emit()
        elif change == "file":
            self.path_changed.emit()

    def _take(self, number: int, content: object) -> None:
        if isinstance(content, ShownSculpt):
            self._take_sculpt(number, content)
        elif isinstance(content, ShownStep):
            self._take_step(number, content)
        elif isinstance(content, EarlierSculpt):
            self._take_memory(number, content)
        elif isinstance(content, EarlierSteps) and self.session is not None and number in self._jobs:
            self.session.sculpts.finished(self._jobs[number], content.steps)
        elif isinstance(content, ShownJoint) and number in self._jobs:
            self._take_joint(content)

    def _take_joint(self, joint: ShownJoint) -> None:
        self.safeties = joint.safeties
        for step_id in self.session.results.judged(joint.findings) if self.session else ():
            self.step_shown.emit(step_id)

    def _take_sculpt(self, number: int, sculpt: ShownSculpt) -> None:
        before, self.sculpt, self._replaced = self.sculpt, sculpt, None
        made_by, read_before = self._jobs.get(number), self._read_from
        path = Path(made_by.source.path) if made_by and made_by.source else None
        self._read_from = path
        if before is not None and path is not None and path == read_before and before.digest != sculpt.digest:
            self._lay_on_former(number, path)
        if path is not None and self.session is not None and self.session.sculpts.took(path, sculpt.digest):
            if before is not None and path == read_before:
                self.said.emit(f"{printable(path.name)} has changed on disk and was read again.")
            else:
                self.sculpt_revised.emit()
        self.sculpt_shown.emit()

    def _lay_on_former(self, number: int, path: Path) -> None:
        """Have a sculpt that a replay found changed laid on its former content, whoever asked for that."""
        made_by = self._jobs.get(number)
        if self.session is None or made_by is None or made_by.source is None:
            return
        self.session.use_sculpt(path)
        now = self.recipe.source
        if now is not None and now.made_with is not made_by.source.made_with:
            # What it goes on to give knows nothing of where things were.
            del self._jobs[number]
            QTimer.singleShot(0, self, self.replay)

    def _take_memory(self, number: int, memory: EarlierSculpt) -> None:
        made_by = self._jobs.get(number)
        if made_by is not None and made_by.source is not None and self.session is not None:
            self.session.sculpts.imported(Path(made_by.source.path), memory)

    def _take_step(self, number: int, step: ShownStep) -> None:
        made_by = self._jobs.get(number)
        if self.session is None or made_by is None:
            return
        made_by = self._follow(number, made_by, step)
        known = self.session.results.current(step.id, self.recipe)
        if step.solids:
            self._kept.put(step.key, step.solids)
        self.session.results.took(replace(step, solids={}), made_by)
        if step.solids or known is None or step.failed or known.key != step.key:
            self.step_shown.emit(step.id)

    def _follow(self, number: int, made_by: Recipe, step: ShownStep) -> Recipe:
        """Take over where a step's places lie on the present sculpt; give the recipe so replayed."""
        if made_by == self.recipe:
            self.do(lambda session: session.follow(step.id, step.followed))
        self._jobs[number] = followed(made_by, step.id, step.followed)
        return self._jobs[number]

    def _take_end(self, number: int, _result: object, failed: str, stopped: bool) -> None:
        made_by = self._jobs.pop(number, None)
        self._jobs = {later: recipe for later, recipe in self._jobs.items() if later > number}
        if made_by is None:
            return
        if stopped:
            self.safeties = {}  # what was found stays, as before the change
            self._set_stopped(number == self._latest)
            return
        if failed and self.sculpt is None and self._replaced is not None:
            self.open_session(self._replaced)
            failed, self._replaced = f"{failed} {OPEN_AGAIN}", None
        elif failed and made_by == self.recipe and self._is_unread:
            self.revision.dismiss()
            self.do(lambda session: session.undo())
            failed = f"{failed} {OPEN_AGAIN}"
        else:
            self.failure = failed
        if failed:
            self.failed.emit(failed)

    @property
    def _is_unread(self) -> bool:
        """Whether the sculpt was put in place of this document's, which is there, and not read yet."""
        if self.session is None or self.sculpt is None:
            return False
        return replaced_sculpt(self.session.history) == str(self._read_from)

    def _set_stopped(self, stopped: bool) -> None:
        if stopped != self.stopped:
            self.stopped = stopped
            self.stopped_changed.emit(stopped)
