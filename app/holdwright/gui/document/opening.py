"""From a path, dropped or chosen, to an open document; every question on the way is asked here."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QEventLoop, QMetaObject, Qt, QTimer
from PySide6.QtWidgets import QWidget

from holdwright.errors import HoldwrightError
from holdwright.files.on_disk import Stamp, stamp_of
from holdwright.gui.document import questions
from holdwright.gui.document.autosave_folders import AutosaveFolders, UnsavedDocument
from holdwright.gui.document.document import Document
from holdwright.gui.document.drops import is_recipe, json_kind, refusal
from holdwright.gui.document.recent_files import RecentFiles
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.recipes.set_file import PlannedHold
from holdwright.pipeline.recipes.variants import variant_of
from holdwright.printable import printable
from holdwright.session import Session

T = TypeVar("T")


class Opening:
    """Opens sculpts and recipes, and never loses what is open already.

    Parameters
    ----------
    window
        Questions are asked over it.
    autosave_folders
        Where the document is autosaved.
    is_writing
        Tells whether files of the document are being written.

    Attributes
    ----------
    others
        Opens files that are no document's, by kind: "set", "wall"; each tells whether it did.
    """

    def __init__(
        self,
        window: QWidget,
        document: Document,
        recents: RecentFiles,
        autosave_folders: AutosaveFolders,
        is_writing: Callable[[], bool],
    ) -> None:
        self._window = window
        self._document = document
        self._recents = recents
        self._autosave_folders = autosave_folders
        self._is_writing = is_writing
        self.others: dict[str, Callable[[Path], bool]] = {}
        self._asked_for: Path | None = None
        self._recipe_stamp: tuple[Path | None, Stamp | None] = (None, None)
        document.opened.connect(self._remember_disk)
        document.sculpt_shown.connect(self._remember_sculpt)
        # Not from within the answer of the geometry process: there is a question to ask.
        document.sculpt_revised.connect(lambda: QTimer.singleShot(0, window, self._ask_revised))

    def open_any(self, paths: Sequence[Path]) -> bool:
        """Open what was dropped or chosen: of several files, the one the user names."""
        if not paths:
            return False
        path = paths[0] if len(paths) == 1 else questions.which_of(self._window, paths)
        return path is not None and self.open_path(path)

    def open_path(self, path: Path) -> bool:
        """Open a sculpt, a recipe, a set or a wall, and tell whether it was opened."""
        refused = refusal(path)
        if refused:
            self._document.failed.emit(refused)
            return False
        other = self.others.get(json_kind(path)) if is_recipe(path) else None
        if other is not None:
            opened = other(path)
            if opened:
                self._recents.add(path)
            return opened
        # A sculpt is added to the recent files once it could be read.
        self._asked_for = path
        opened = self._open_recipe(path) if is_recipe(path) else self._open_sculpt(path)
        if opened and is_recipe(path):
            self._recents.add(path)
        return opened

    def open_hold(self, hold: PlannedHold) -> bool:
        """Open a hold of a set: its sculpt with its recipe, as its variant; tell whether it was opened."""
        try:
            path = find_recipe(hold.recipe)
            recipe = load_recipe(path)
            variant = variant_of(recipe, hold.variant)
        except HoldwrightError as error:
            self._document.failed.emit(str(error))
            return False
        if not self.may_leave():
            return False
        own = variant == recipe and path == Path(hold.recipe)
        self._document.start_with(variant, hold.sculpt, path if own else None)
        return True

    def may_leave(self, verb: str = "Open") -> bool:
        """Ask about files being written and unsaved changes, and tell whether the document may be left.

        Parameters
        ----------
        verb
            What is to be done: "Open" another, or "Close" the window.
        """
        document = self._document
        if self._is_writing() and not questions.leave_while_writing(self._window, verb):
            return False
        if not document.dirty or document.untouched:
            return True
        answer = questions.unsaved(self._window, self.name)
        if answer == 0:
            return self.save()
        if answer == 1 and document.session is not None:
            document.discard_changes()
            return True
        return False

    def save(self, *, elsewhere: bool = False) -> bool:
        """Save the recipe, asking where when it has no file yet or another is required."""
        path = self._document.path
        if path is None or elsewhere:
            path = questions.where_to_save(self._window, self.suggestion(".json"))
            if path is None:
                return False
        known_path, known = self._recipe_stamp
        changed = path == known_path and stamp_of(path) not in (known, None)
        if changed and not questions.changed_on_disk(self._window, path.name):
            return False
        if not self._document.save(path):
            return False
        self._recipe_stamp = path, stamp_of(path)
        self._recents.add(path)
        return True

    def find_sculpt(self) -> None:
        """Ask for the sculpt that the open recipe lacks, and replay the recipe on it."""
        document = self._document
        known = [path.parent for path in (document.path, document.sculpt_path) if path is not None]
        folder = next((each for each in known if each.is_dir()), Path.home())
        found = questions.which_sculpt(self._window, folder)
        if found is None:
            return
        recipe = f"{printable(found.name)} is a recipe; choose a sculpt." if is_recipe(found) else ""
        refused = recipe or refusal(found)
        if refused:
            document.failed.emit(refused)
        else:
            document.replace_sculpt(found)

    def recover(self) -> bool:
        """Offer what windows that broke off never saved, and tell whether any of it is open now."""
        return any(self._offer(left) for left in each_aside(self._autosave_folders.unsaved_documents()))

    @property
    def name(self) -> str:
        """What the open document is called."""
        path = self._document.path or self._document.sculpt_path
        return printable(path.stem) if path else "the recipe"

    def _open_recipe(self, path: Path) -> bool:
        if not self.may_leave():
            return False
        left = self._autosave_folders.unsaved_document(path)
        if left is not None and self._offer(left):
            return True
        return self._document.open_recipe(path, self._autosave_folders.folders_with(path))

    def _offer(self, left: UnsavedDocument) -> bool:
        """Ask about what was left behind, and tell whether it is open now."""
        source = left.stored.history.recipe.source
        sculpt = Path(source.path).name if source else "no sculpt"
        name = left.path.name if left.path else f"the recipe on {sculpt}, which has no file yet"
        answer = questions.recover(self._window, name)
        if answer == 0:
            autosaves, stored = self._autosave_folders.folder, left.stored
            session = Session(stored.history, left.path, saved=stored.saved, autosaves=autosaves)
            self._document.open_session(session)
            self._document.do(lambda session: session.autosave())
            if left.folder != autosaves:
                self._autosave_folders.discard(left)
        elif answer == 1:
            self._autosave_folders.discard(left)
        else:
            self._autosave_folders.set_aside(left)
        return answer == 0

    def _open_sculpt(self, path: Path) -> bool:
        if self._document.session is None or self._document.untouched:
            return self.may_leave() and self._document.start_with_sculpt(path)
        if self._document.sculpt_path is None:
            self._document.replace_sculpt(path)
            return True
        answer = questions.sculpt_dropped(self._window, path)
        if answer == 0:
            self._document.replace_sculpt(path)
        return answer == 0 or (answer == 1 and self.may_leave() and self._document.start_with_sculpt(path))

    def _ask_revised(self) -> None:
        """Tell of a sculpt changed between sessions, on which the recipe is being replayed already."""
        path = self._document.sculpt_path
        if path is None or not questions.sculpt_revised(self._window, path.name):
            return
        found = questions.which_sculpt(self._window, path.parent)
        if found is not None:
            self._document.replace_sculpt(found)

    def _remember_disk(self) -> None:
        path = self._document.path
        self._recipe_stamp = path, stamp_of(path) if path else None

    def _remember_sculpt(self) -> None:
        path = self._document.sculpt_path
        if path is not None and path == self._asked_for:
            self._recents.add(path)

    def suggestion(self, ending: str) -> Path:
        """Give the path to suggest for a file of the open document, beside its sculpt."""
        return (self._document.sculpt_path or Path("hold")).with_suffix(ending)


def each_aside(items: Iterator[T]) -> Iterator[T]:
    """Give items, each produced in a thread while the window goes on drawing; what its user does waits."""
    with ThreadPoolExecutor(1, "aside") as pool:
        while True:
            loop = QEventLoop()
            leave = partial(QMetaObject.invokeMethod, loop, "quit", Qt.ConnectionType.QueuedConnection)
            future = pool.submit(_next_then, leave, items)
            loop.exec(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
            item = future.result()
            if item is None:
                return
            yield item


def _next_then(leave: Callable[[], object], items: Iterator[T]) -> T | None:
    try:
        return next(items, None)
    finally:
        leave()
