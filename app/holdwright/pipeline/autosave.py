"""The open document kept safe beside its file: recipe and undo history, one file for each recipe's path."""

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, ConfigDict, ValidationError

from holdwright.errors import RecipeError
from holdwright.operations import OPERATIONS
from holdwright.pipeline.atomic_write import write_whole
from holdwright.pipeline.history import Entry, History
from holdwright.pipeline.recipe import Operations, Recipe
from holdwright.pipeline.recipe_file import dump_recipe, recipe_of

_FORMAT: Final = 1


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class _EntryFile(_Part):
    recipe: int
    text: str


class _HistoryFile(_Part):
    format: int
    path: str
    recipes: list[dict[str, Any]]
    entries: list[_EntryFile]
    present: int
    saved: int


@dataclass(frozen=True)
class Autosave:
    """A document as it was last kept.

    Attributes
    ----------
    history
        Its recipe, and what can be undone and redone.
    saved
        The recipe as it then stood in its file, or as it began where it had none.
    """

    history: History
    saved: Recipe


def autosave_path(folder: Path, recipe_path: Path | None) -> Path:
    """Give the file an autosave lies in; None stands for a document that has no file yet."""
    if recipe_path is None:
        return folder / "untitled.json"
    name = hashlib.blake2b(str(recipe_path.resolve()).encode(), digest_size=12).hexdigest()
    return folder / f"{name}.json"


def keep_autosave(folder: Path, recipe_path: Path | None, autosave: Autosave) -> None:
    """Write an autosave.

    Raises
    ------
    RecipeError
        When the folder cannot be written to.
    """
    history = autosave.history
    recipes: list[Recipe] = []
    entries = [
        {"recipe": _place(recipes, entry.recipe), "text": entry.text}
        for entry in (*history.past, history.present, *history.future)
    ]
    content = {
        "format": _FORMAT,
        "path": "" if recipe_path is None else str(recipe_path.resolve()),
        "saved": _place(recipes, autosave.saved),
        "recipes": [dump_recipe(recipe) for recipe in recipes],
        "entries": entries,
        "present": len(history.past),
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(autosave_path(folder, recipe_path), json.dumps(content, ensure_ascii=False).encode())
    except OSError as error:
        raise RecipeError(f"The autosave cannot be written to {folder}: {error.strerror or error}.") from None


def find_autosave(
    folder: Path, recipe_path: Path | None, *, operations: Operations = OPERATIONS
) -> Autosave | None:
    """Read an autosave; None where there is none, or it is damaged or of another program version."""
    try:
        text = autosave_path(folder, recipe_path).read_bytes()
        file = _HistoryFile.model_validate_json(text)
        recipes = [recipe_of(content, operations=operations) for content in file.recipes]
        entries = tuple(Entry(recipes[entry.recipe], entry.text) for entry in file.entries)
        saved = recipes[file.saved]
        if file.format != _FORMAT or not 0 <= file.present < len(entries):
            return None
    except (OSError, ValidationError, RecipeError, IndexError):
        return None
    history = History(entries[file.present], entries[: file.present], entries[file.present + 1 :])
    return Autosave(history, saved)


def autosaved_paths(folder: Path) -> tuple[Path | None, ...]:
    """Give the paths of the recipes kept safe in a folder, the latest first; None for one without a file."""
    found: list[tuple[int, Path | None]] = []
    for file in folder.glob("*.json"):
        try:
            path = json.loads(file.read_bytes())["path"]
            kept_at = file.stat().st_mtime_ns
        except (OSError, ValueError, KeyError, TypeError):
            continue
        if isinstance(path, str):
            found.append((kept_at, Path(path) if path else None))
    return tuple(path for _, path in sorted(found, key=lambda each: -each[0]))


def drop_autosave(folder: Path, recipe_path: Path | None) -> None:
    """Remove an autosave, if there is one."""
    autosave_path(folder, recipe_path).unlink(missing_ok=True)


def _place(recipes: list[Recipe], recipe: Recipe) -> int:
    """Give a recipe's place in the list, put there if it is new: neighbours in a history often agree."""
    if recipe in recipes:
        return recipes.index(recipe)
    recipes.append(recipe)
    return len(recipes) - 1
