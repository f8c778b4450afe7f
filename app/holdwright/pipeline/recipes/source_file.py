"""A recipe's sculpt on the disk: its path, relative in the file and absolute in memory, and its bytes."""

import os
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from holdwright.files.on_disk import digest_of, stamp_of
from holdwright.hold.earlier_sculpt import EarlierSculpt
from holdwright.hold.earlier_steps import EarlierStep
from holdwright.pipeline.recipes.recipe import Recipe, Source


def with_absolute_source(recipe: Recipe, folder: Path) -> Recipe:
    """Give the recipe as used in memory, its sculpt's path taken from the recipe's folder on."""
    if recipe.source is None:
        return recipe
    path = Path(os.path.normpath(folder.absolute() / recipe.source.path))
    return recipe.with_source(replace(recipe.source, path=str(path)))


def is_revised(recipe: Recipe, recipe_path: Path, sculpt_path: Path, digest: str) -> bool:
    """Tell whether a recipe is replayed on the very file it was saved for, but with other bytes in it now."""
    source = with_absolute_source(recipe, recipe_path.parent).source
    if source is None or source.digest in ("", digest):
        return False
    try:
        return Path(source.path).resolve() == sculpt_path.resolve()
    except (OSError, RuntimeError, ValueError):  # a path that leads nowhere is no other file's
        return False


def with_relative_source(recipe: Recipe, folder: Path) -> Recipe:
    """Give the recipe as written to a file in `folder`, so that both can be moved together.

    A sculpt on another drive keeps its absolute path. Folders are parted by slashes on every system.
    """
    if recipe.source is None:
        return recipe
    try:
        path = Path(os.path.relpath(recipe.source.path, folder.absolute()))
    except ValueError:
        path = Path(recipe.source.path)
    return recipe.with_source(replace(recipe.source, path=path.as_posix()))


def _has_steps_of(recipe: Recipe, other: Recipe | None) -> bool:
    """Tell whether recipes on one sculpt have the same steps, whatever their parameters."""
    if other is None or other.source is None or recipe.source is None:
        return False
    kinds = ([(step.id, step.operation) for step in each.steps] for each in (recipe, other))
    return other.source.path == recipe.source.path and next(kinds) == next(kinds)


class SculptBytes:
    """Digests of sculpts by path, and what is to be remembered of them.

    Parameters
    ----------
    recipes
        What these say of their sculpts is known; the last says it last.
    revised
        Called when a sculpt turns out to have changed.
    """

    def __init__(self, recipes: Iterable[Recipe], revised: Callable[[], None]) -> None:
        recipes = tuple(recipes)
        sources = [recipe.source for recipe in recipes if recipe.source is not None]
        self._digests = {source.path: source.digest for source in sources if source.digest}
        self._sizes: dict[str, int] = {}
        known = ((recipe.source.digest, recipe) for recipe in recipes if recipe.source is not None)
        self._done_on = {digest: recipe for digest, recipe in known if digest}
        self._memories: dict[str, EarlierSculpt] = {}
        self._done: tuple[Recipe, tuple[EarlierStep, ...]] | None = None
        self._revised = revised

    def took(self, path: Path, digest: str) -> bool:
        """Take note of what a sculpt was read from, and tell whether it had other bytes before."""
        known = self._digests.get(str(path), "")
        self._digests[str(path)] = digest
        if (stamp := stamp_of(path)) is not None:
            self._sizes[digest] = stamp[0]
        if known in ("", digest):
            return False
        self._revised()
        return True

    def imported(self, path: Path, memory: EarlierSculpt) -> None:
        """Take note of how a sculpt was imported, for a recipe made with it to remember."""
        self._memories[str(path)] = memory

    def finished(self, recipe: Recipe, steps: tuple[EarlierStep, ...]) -> None:
        """Take note of how all steps of a recipe were done on its sculpt."""
        self._done = recipe, steps
        digest = self._digests.get(recipe.source.path, "") if recipe.source is not None else ""
        if digest:
            self._done_on[digest] = recipe

    def as_done(self, recipe: Recipe, path: Path) -> Source | None:
        """Give what the recipe, as it is, was laid on when it was last done on the bytes a file has now.

        None where it was not: with other parameters, or never on these. So a sculpt that comes back after a
        revision gives what it gave before, and the same findings. A file of another size is not read.
        """
        size, _ = stamp_of(path) or (-1, 0)
        if not any(self._sizes.get(digest, size) == size for digest in self._done_on):
            return None
        digest = ""
        with suppress(OSError):
            digest = digest_of(path)
        done = self._done_on.get(digest)
        same = done is not None and done.with_source(None) == recipe.with_source(None)
        return done.source if done is not None and same else None

    def stamped(self, recipe: Recipe) -> Recipe:
        """Give the recipe with the digest of its sculpt as it was last read, and what is remembered of it."""
        source = recipe.source
        if source is None or source.path not in self._digests:
            return recipe
        made_with = self._memories.get(source.path, source.made_with)
        made_by, steps = self._done or (None, ())
        if made_by != recipe and (source.earlier_steps or not _has_steps_of(recipe, made_by)):
            steps = source.earlier_steps
        stamped = replace(source, digest=self._digests[source.path], made_with=made_with, earlier_steps=steps)
        return recipe.with_source(stamped)

    def differ_from(self, saved: Recipe) -> bool:
        """Tell whether the sculpt of a saved recipe has other bytes than it says."""
        source = saved.source
        if source is None or not source.digest:
            return False
        return self._digests.get(source.path, source.digest) != source.digest
