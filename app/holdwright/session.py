"""The open document: its recipe and what was done to it, its file, what each step gave. Knows no window."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

from holdwright.errors import RecipeError
from holdwright.operations import OPERATIONS, known_operation
from holdwright.pipeline.recipes.autosave import Autosave, drop_autosave, find_autosave, write_autosave
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Recipe, Source
from holdwright.pipeline.recipes.recipe_file import load_recipe, save_recipe
from holdwright.pipeline.recipes.source_file import SculptBytes, with_absolute_source, with_relative_source
from holdwright.pipeline.replaying.following import followed
from holdwright.pipeline.views.step_results import StepResults

Change = Literal["recipe", "followed", "results", "selected", "file", "settled"]
"""What has changed; followed: places of the recipe, with a revised sculpt; settled: a change that was going
on is over."""

Listener = Callable[[Change], None]


class Session:
    """An open document. Every command either does what it says and tells the listeners, or raises.

    Parameters
    ----------
    history
        The recipe and what led to it; paths of sculpts in it are absolute.
    path
        The recipe's file; None while it has none.
    saved
        The recipe as it stands in that file; None: as it is now.
    autosaves
        Folder to keep the document safe in; None: nowhere.

    Attributes
    ----------
    results
        What each step last gave.
    sculpts
        What bytes sculpts were read from.
    """

    def __init__(
        self,
        history: History,
        path: Path | None = None,
        *,
        saved: Recipe | None = None,
        autosaves: Path | None = None,
    ) -> None:
        self._listeners: list[Listener] = []
        self._history = history
        self._path = path
        self._saved = history.recipe if saved is None else saved
        self._autosaves = autosaves
        self._selected: str | None = None
        self.results = StepResults(lambda: self._tell("results"))
        self.sculpts = SculptBytes((self._saved, history.recipe), lambda: self._tell("file"))

    def listen(self, listener: Listener) -> Callable[[], None]:
        """Call `listener` after every change; calling what this gives back ends that."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def _tell(self, change: Change) -> None:
        for listener in tuple(self._listeners):
            listener(change)

    @property
    def recipe(self) -> Recipe:
        """The recipe as it is; the path of its sculpt is absolute."""
        return self._history.recipe

    @property
    def history(self) -> History:
        """What can be undone and redone."""
        return self._history

    @property
    def path(self) -> Path | None:
        """The recipe's file."""
        return self._path

    @property
    def is_dirty(self) -> bool:
        """Whether the recipe differs from its file, or is replayed on a sculpt that was changed since."""
        if self.recipe != self._saved:
            return True
        return self.sculpts.differ_from(self._saved)

    @property
    def selected(self) -> str | None:
        """Id of the step that is worked on, or None."""
        ids = [step.id for step in self.recipe.steps]
        return self._selected if self._selected in ids else None

    @selected.setter
    def selected(self, step_id: str | None) -> None:
        if step_id is not None:
            self.recipe.step(step_id)
        if step_id != self._selected:
            self._selected = step_id
            self._tell("selected")

    def edit(self, step_id: str, changes: Mapping[str, Any], tag: str = "") -> None:
        """Change some values of a step, or of a section; edits in a row with one tag are undone as one.

        Raises
        ------
        ParameterError
            When a value makes no sense.
        """
        self.change(self.recipe.with_parameters(step_id, changes), tag)

    def change(self, recipe: Recipe, tag: str = "") -> None:
        """Put a changed recipe in place of the present one, which undo brings back; tags as of `edit`."""
        self._go(self._history.changed(recipe, tag=tag))

    def settle(self, tag: str) -> None:
        """Say that the edits of that tag are over, as when a slider is let go."""
        before, self._history = self._history, self._history.squash(tag)
        if self._history is not before:
            self._tell("settled")

    def add(self, operation: str) -> str:
        """Add a step at its place in shop order, with its defaults, and give its id.

        Raises
        ------
        RecipeError
            When there is no such operation, or the recipe may hold only one and has it.
        """
        found = known_operation(operation)
        if found is None:
            names = ", ".join(known.name for known in OPERATIONS)
            raise RecipeError(f"There is no operation {operation}; choose from {names}.")
        before = {step.id for step in self.recipe.steps}
        recipe = self.recipe.inserted(found)
        self.change(recipe)
        added = next(step.id for step in recipe.steps if step.id not in before)
        self.selected = added
        return added

    def remove(self, step_id: str) -> None:
        """Remove a step.

        Raises
        ------
        RecipeError
            When it is the step every recipe starts with.
        """
        self.change(self.recipe.removed(step_id))

    def use_sculpt(self, path: Path, digest: str = "") -> None:
        """Put another sculpt, or its file read anew, in place of the present one, to be laid on that.

        One that the recipe was done on before, as it is, is laid on what it was laid on then.
        """
        history = self._history.each(self.sculpts.stamped)
        before = history.recipe.source or Source("")
        done = self.sculpts.as_done(history.recipe, path) or before
        source = Source(str(path.absolute()), digest, done.made_with, done.earlier_steps)
        if before.path == source.path:
            source = replace(source, digest=digest or before.digest)
            self._history = history.amended(history.recipe.with_source(source))
        else:
            self.change(self.recipe.with_source(source))

    def follow(self, step_id: str, changes: Mapping[str, Any]) -> None:
        """Write a step's places as they lie on the present sculpt; that is part of having put it there.

        Raises
        ------
        ParameterError
            When a value makes no sense.
        """
        history = self._history.amended(followed(self.recipe, step_id, changes))
        if history.recipe != self.recipe:
            self._history = history
            self._tell("followed")
        self._history = history

    def undo(self) -> None:
        """Take the last change back, if there is one."""
        self._go(self._history.undone())

    def redo(self) -> None:
        """Do the change last undone again, if there is one."""
        self._go(self._history.redone())

    def save(self, path: Path | None = None) -> None:
        """Write the recipe to its file, or to another that then is its file.

        Raises
        ------
        RecipeError
            When it has no file and none is given, or it cannot be written.
        """
        target = path or self._path
        if target is None:
            raise RecipeError("The recipe has no file yet; say where to save it.")
        recipe = self.sculpts.stamped(self.recipe)
        save_recipe(with_relative_source(recipe, target.parent), target)
        if self._autosaves is not None and self._path is None:
            drop_autosave(self._autosaves, None)
        self._path, self._saved = target, recipe
        self.autosave()
        self._tell("file")

    def autosave(self, *, as_saved: bool = False) -> None:
        """Keep recipe and history safe outside the recipe's file.

        Parameters
        ----------
        as_saved
            Drop the changes made since the last save, so that they are not offered again; what can be undone
            from there stays.

        Raises
        ------
        RecipeError
            When the folder cannot be written to.
        """
        if self._autosaves is None:
            return
        history: History | None = self._history
        if as_saved and self.is_dirty:
            history = self._history.gone_to(self._saved) if self._path else None
        if history is None:
            drop_autosave(self._autosaves, self._path)
        else:
            kept = Autosave(history.each(self.sculpts.stamped), self._saved)
            write_autosave(self._autosaves, self._path, kept)

    def _go(self, history: History) -> None:
        changed = history.recipe != self.recipe
        self._history = history
        if changed:
            self._tell("recipe")


def open_session(
    path: Path,
    *,
    autosaves: Path | None = None,
    kept_in: Sequence[Path] = (),
) -> Session:
    """Open a recipe's file; its undo history comes back if the file is as this machine last left it.

    Parameters
    ----------
    autosaves
        Folder to keep the document safe in.
    kept_in
        Folders its history may lie in, the first that fits the file being taken; none: that folder alone.

    Raises
    ------
    RecipeError
        When the file cannot be used.
    """
    recipe = with_absolute_source(load_recipe(path), path.parent)
    folders = kept_in or ([] if autosaves is None else [autosaves])
    found = (find_autosave(folder, path) for folder in folders)
    fitting = (kept.history for kept in found if kept is not None and kept.history.recipe == recipe)
    # Their digests may be older than the file's.
    history = next(fitting, History.of(recipe)).each(
        lambda each: replace(each, source=recipe.source) if each.source == recipe.source else each
    )
    return Session(history, path, saved=recipe, autosaves=autosaves)


def unsaved_changes(path: Path | None, autosaves: Path) -> Autosave | None:
    """Give what was kept of a document but never saved, as after a power cut; None where nothing was lost."""
    kept = find_autosave(autosaves, path)
    return kept if kept and kept.unsaved else None
