"""The open document kept safe beside its file: recipe and undo history, one file for each recipe's path."""

import hashlib
import json
import os
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, ConfigDict

from holdwright.errors import RecipeError
from holdwright.pipeline.atomic_write import remove_broken_off, write_whole
from holdwright.pipeline.recipes.history import Entry, History
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_entries import EarlierEntry
from holdwright.pipeline.recipes.recipe_file import dump_recipe, plain_memory, recipe_of, remembering

MOST_SAVED: Final = 200
"""Histories of saved recipes kept in a folder at most; of unsaved ones all are."""

OLDEST_DAYS: Final = 180
"""A saved recipe's history is not kept longer."""

_FORMAT: Final = 1
_SAVED: Final = b'{"unsaved": false,'
"""How the file of a document begins in which nothing is unsaved: it can be told without reading all of it."""


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class _EntryFile(_Part):
    recipe: int
    text: str


class _HistoryFile(_Part):
    unsaved: bool = True
    format: int
    path: str
    recipes: list[dict[str, Any]]
    entries: list[_EntryFile]
    present: int
    saved: int
    made_with: EarlierEntry | None = None


@dataclass(frozen=True)
class Autosave:
    """A document as it was last kept."""

    history: History
    """Its recipe, and what can be undone and redone."""
    saved: Recipe
    """The recipe as it then stood in its file, or as it began where it had none."""

    @property
    def unsaved(self) -> bool:
        """Whether the document has changes that its file has not."""
        return self.history.recipe != self.saved


def autosave_path(folder: Path, recipe_path: Path | None) -> Path:
    """Give the file an autosave lies in; None stands for a document that has no file yet."""
    if recipe_path is None:
        return folder / "untitled.json"
    name = hashlib.blake2b(os.fsencode(recipe_path.resolve()), digest_size=12).hexdigest()
    return folder / f"{name}.json"


def write_autosave(folder: Path, recipe_path: Path | None, autosave: Autosave) -> None:
    """Write an autosave.

    Raises
    ------
    RecipeError
        When the folder cannot be written to.
    """
    history = autosave.history
    places: dict[str, int] = {}

    def place(recipe: Recipe) -> int:
        """Give a recipe's place in the list, put there if it is new: neighbours in a history often agree."""
        return places.setdefault(json.dumps(dump_recipe(_forgetting(recipe))), len(places))

    entries = [
        {"recipe": place(entry.recipe), "text": entry.text}
        for entry in (*history.past, history.present, *history.future)
    ]
    head = {
        "unsaved": autosave.unsaved,
        "format": _FORMAT,
        "path": "" if recipe_path is None else str(recipe_path.resolve()),
        "saved": place(autosave.saved),
        "entries": entries,
        "present": len(history.past),
        "made_with": plain_memory(history.recipe),
    }
    content = f'{json.dumps(head)[:-1]}, "recipes": [{", ".join(places)}]}}'
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(autosave_path(folder, recipe_path), content.encode("utf-8", "backslashreplace"))
    except OSError as error:
        raise RecipeError(f"The autosave cannot be written to {folder}: {error.strerror or error}.") from None


def _forgetting(recipe: Recipe) -> Recipe:
    """Give the recipe without what it remembers of its sculpt: that is written once for all of a history."""
    return recipe.with_source(replace(recipe.source, made_with=None)) if recipe.source else recipe


def find_autosave(folder: Path, recipe_path: Path | None) -> Autosave | None:
    """Read an autosave; None where there is none, or it is damaged or of another program version."""
    read = _read(autosave_path(folder, recipe_path))
    return read[1] if read else None


def unsaved_autosaves(folder: Path) -> Iterator[tuple[Path | None, Autosave]]:
    """Read the autosaves with unsaved changes in a folder one by one, the latest first.

    Yields
    ------
    path, autosave
        Path of the recipe, None for one without a file.
    """
    for file in reversed(_by_age(folder)):
        read = None if _is_saved(file) else _read(file)
        if read is not None and read[1].unsaved:
            yield read


def prune_autosaves(folder: Path, most: int = MOST_SAVED, oldest_days: float = OLDEST_DAYS) -> None:
    """Remove what broken-off writes left, and the oldest histories of saved recipes."""
    remove_broken_off(folder)
    saved = [file for file in _by_age(folder) if _is_saved(file)]
    for number, file in enumerate(reversed(saved)):
        with suppress(OSError):
            if number >= most or time.time() - file.stat().st_mtime > 86_400 * oldest_days:
                file.unlink()


def _by_age(folder: Path) -> list[Path]:
    """Give the autosaves in a folder, the oldest first."""
    found = []
    with suppress(OSError):
        for file in folder.glob("*.json"):
            with suppress(OSError):
                found.append((file.stat().st_mtime_ns, file))
    return [file for _, file in sorted(found)]


def _is_saved(file: Path) -> bool:
    try:
        with file.open("rb") as stream:
            return stream.read(len(_SAVED)) == _SAVED
    except OSError:
        return False


def _read(file: Path) -> tuple[Path | None, Autosave] | None:
    try:
        content = _HistoryFile.model_validate(json.loads(file.read_bytes()))
        recipes = [remembering(recipe_of(each), content.made_with) for each in content.recipes]
        entries = tuple(Entry(recipes[entry.recipe], entry.text) for entry in content.entries)
        present, saved = entries[content.present], recipes[content.saved]
    except Exception:  # noqa: BLE001  whatever is wrong with one, the others are to be read
        return None
    if content.format != _FORMAT or content.present < 0:
        return None
    history = History(present, entries[: content.present], entries[content.present + 1 :])
    return Path(content.path) if content.path else None, Autosave(history, saved)


def drop_autosave(folder: Path, recipe_path: Path | None) -> None:
    """Remove an autosave, if there is one."""
    autosave_path(folder, recipe_path).unlink(missing_ok=True)
