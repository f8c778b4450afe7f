"""Where a recipe's sculpt lies: relative to the recipe in its file, absolute in memory."""

import os
from dataclasses import replace
from pathlib import Path

from holdwright.pipeline.recipe import Recipe


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
