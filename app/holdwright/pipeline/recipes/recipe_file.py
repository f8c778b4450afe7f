"""Recipes as files: strict in reading, whole or not at all in writing."""

import contextlib
import hashlib
import json
import re
from dataclasses import asdict, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from holdwright.errors import ParameterError, RecipeError
from holdwright.hold.earlier_sculpt import EarlierSculpt
from holdwright.hold.earlier_steps import EarlierStep
from holdwright.operations import known_operation
from holdwright.operations.base import Operation
from holdwright.parameters.kinds import Parameters, SectionParameters
from holdwright.pipeline.atomic_write import write_whole
from holdwright.pipeline.canonical_json import canonical, plain, plain_parameters
from holdwright.pipeline.parameter_reading import (
    Problem,
    UnknownParameters,
    problems_of,
    read_parameters,
)
from holdwright.pipeline.recipes.recipe import SECTIONS, Recipe, Source, Step, sequence_problems
from holdwright.pipeline.recipes.recipe_entries import (
    FORMAT,
    MOST_STEPS,
    EarlierEntry,
    RecipeEntry,
    SectionEntry,
    StepEntry,
)
from holdwright.pipeline.strict_json import read_text, refuse_newer, strict_json
from holdwright.resources import resource_folder

REPORT_KEYS: Final = frozenset({"solids", "sculpt", "recipe"})
"""By these the report of an export is told from a recipe, whatever its file is called."""


def load_recipe(path: Path) -> Recipe:
    """Read a recipe's file.

    Raises
    ------
    RecipeError
        When it cannot be read, or with every problem found in it.
    """
    return read_recipe(read_text(path, "recipe"), str(path))


def read_recipe(text: str, name: str = "The recipe") -> Recipe:
    """Read a recipe from its JSON text; `name` says in errors where it came from."""
    return recipe_of(strict_json(text, name), name)


def recipe_of(content: Any, name: str = "The recipe") -> Recipe:
    """Make a recipe of plain JSON values.

    Raises
    ------
    RecipeError
        With every problem found; a newer format in one sentence.
    """
    if not isinstance(content, dict):
        raise RecipeError(f"{name} holds no recipe: it should be a JSON object with format and steps.")
    if content.keys() >= REPORT_KEYS:
        own = "open the sculpt, or the recipe's own file"
        raise RecipeError(f"{name} is the report of an export and not a recipe; {own}.")
    refuse_newer(content, FORMAT, name)
    source, sections, problems = _head(content)
    entries = content.get("steps")
    steps: list[tuple[int, Step]] = []
    for index, entry in enumerate(entries[:MOST_STEPS] if isinstance(entries, list) else []):
        step, step_problems = _step(entry, f"steps[{index}]")
        problems += step_problems
        if step is not None:
            steps.append((index, step))
    if steps or entries == []:
        problems += sequence_problems(steps)
    if problems:
        raise RecipeError(problems)
    return Recipe(source, tuple(step for _, step in steps), **sections)


def dump_recipe(recipe: Recipe) -> dict[str, Any]:
    """Give the recipe as plain JSON values, every parameter included."""
    content: dict[str, Any] = {"format": FORMAT}
    if recipe.source is not None:
        digest = {"digest": recipe.source.digest} if recipe.source.digest else {}
        memory = plain_memory(recipe)
        made_with = {"made_with": memory} if memory is not None else {}
        steps = [_plain_step(step) for step in recipe.source.earlier_steps]
        earlier_steps = {"earlier_steps": steps} if steps else {}
        content["source"] = {"path": recipe.source.path, **digest, **made_with, **earlier_steps}
    for name, section in recipe.sections.items():
        content[name] = {"version": section.version, "parameters": _sorted(section)}
    content["steps"] = [dict(_step_content(step)) for step in recipe.steps]
    return content


def plain_memory(recipe: Recipe) -> dict[str, Any] | None:
    """Give what the recipe remembers of its sculpt as plain JSON values; None where nothing."""
    earlier = recipe.source.made_with if recipe.source is not None else None
    return None if earlier is None else dict(plain(earlier))


def remembering(recipe: Recipe, entry: EarlierEntry | None) -> Recipe:
    """Give the recipe, where it has a sculpt, with what a file says is remembered of that."""
    if recipe.source is None or entry is None:
        return recipe
    return recipe.with_source(replace(recipe.source, made_with=_earlier(entry)))


def _plain_step(step: EarlierStep) -> dict[str, Any]:
    """Give what is remembered of a step as plain values, what says nothing left out."""
    usual = EarlierStep(step.id)
    values = {name: value for name, value in asdict(step).items() if value != getattr(usual, name)}
    return dict(plain({"id": step.id, **values}))


def _earlier(entry: EarlierEntry | None) -> EarlierSculpt | None:
    return None if entry is None else EarlierSculpt(**entry.model_dump())


def _sorted(parameters: Parameters) -> dict[str, Any]:
    return dict(sorted(plain_parameters(parameters).items()))


@lru_cache(maxsize=2048)  # most steps of a history are the same
def _step_content(step: Step) -> dict[str, Any]:
    return {
        "id": step.id,
        "operation": step.operation,
        "version": step.version,
        "enabled": step.enabled,
        **({"note": step.note} if step.note else {}),
        "parameters": _sorted(step.parameters),
    }


def recipe_text(recipe: Recipe, *, compact: bool = False) -> str:
    """Give the text of the recipe's file; `compact` where nobody reads it: written ten times as fast."""
    indent = None if compact else 2
    return json.dumps(dump_recipe(recipe), indent=indent, ensure_ascii=False, allow_nan=False) + "\n"


def recipe_digest(recipe: Recipe) -> str:
    """Give the digest by which equal recipes are known, whichever their sculpt: blake2b, 16 bytes."""
    content = canonical(dump_recipe(recipe.with_source(None)))
    return hashlib.blake2b(content.encode("utf-8", "replace"), digest_size=16).hexdigest()


def save_recipe(recipe: Recipe, path: Path) -> None:
    """Write the recipe's file: the old one stays until the new one is whole on the disk.

    Raises
    ------
    RecipeError
        When it cannot be written.
    """
    try:
        write_whole(path, recipe_text(recipe).encode("utf-8", "backslashreplace"))
    except OSError as error:
        raise RecipeError(f"The recipe cannot be written to {path}: {error.strerror or error}.") from None


def shipped_recipes() -> tuple[str, ...]:
    """Give the names of the recipes that ship with the program."""
    return tuple(sorted(path.stem for path in (resource_folder() / "recipes").glob("*.json")))


def find_recipe(name_or_path: str) -> Path:
    """Give the file of a recipe, requested by its path or by the name of one that ships with the program.

    Raises
    ------
    RecipeError
        When there is neither.
    """
    path = Path(name_or_path)
    with contextlib.suppress(OSError):  # too long for a name, say
        if path.is_file():
            return path
    if re.fullmatch(r"[\w-]+", name_or_path) and name_or_path in shipped_recipes():
        return resource_folder() / "recipes" / f"{name_or_path}.json"
    names = ", ".join(shipped_recipes())
    shipped = f"none of that name ships with Holdwright, only: {names}"
    raise RecipeError(f"There is no recipe file {name_or_path}, and {shipped}.")


def _head(content: dict[str, Any]) -> tuple[Source | None, dict[str, Any], list[Problem]]:
    """Read all of a recipe but its steps: its sections by their names."""
    try:
        entry = RecipeEntry.model_validate(content)
    except ValidationError as error:
        return None, {}, problems_of(error, names=list(RecipeEntry.model_fields))
    source = None
    if entry.source is not None:
        steps = tuple(EarlierStep(**dict(each)) for each in entry.source.earlier_steps)
        source = Source(entry.source.path, entry.source.digest, _earlier(entry.source.made_with), steps)
    sections: dict[str, Any] = {}
    problems: list[Problem] = []
    for name, kind in SECTIONS.items():
        values, found = _upgraded(getattr(entry, name), kind, name)
        if not found:
            sections[name], found = read_parameters(kind, values, f"{name}.parameters")
        problems += found
    return source, sections, problems


def _step(content: Any, path: str) -> tuple[Step | None, list[Problem]]:
    try:
        entry = StepEntry.model_validate(content)
    except ValidationError as error:
        return None, problems_of(error, path, list(StepEntry.model_fields))
    operation = known_operation(entry.operation)
    if operation is None:
        kept = UnknownParameters.model_validate(plain(entry.parameters))
        return Step(entry.id, entry.operation, entry.version, kept, entry.enabled, entry.note), []
    values, problems = _upgraded(entry, operation, path)
    if problems:
        return None, problems
    parameters, problems = read_parameters(operation.parameters, values, f"{path}.parameters")
    if parameters is None:
        return None, problems
    return Step(entry.id, operation.name, operation.version, parameters, entry.enabled, entry.note), []


def _upgraded(
    entry: StepEntry | SectionEntry, kind: Operation[Any] | type[SectionParameters], path: str
) -> tuple[dict[str, Any], list[Problem]]:
    """Lead parameters of an older version of an operation, or of a section, to the present one."""
    newest, values = kind.version, dict(entry.parameters)
    if entry.version > newest:
        known = f"is {entry.version}, but this program knows {kind.name} up to version {newest}"
        return {}, [(f"{path}.version", f"{known}; open the recipe with a newer Holdwright")]
    for version in range(entry.version, newest):
        try:
            values = kind.upgrades.get(version, dict)(values)
        except (KeyError, TypeError, ValueError, ParameterError) as error:
            reason = f"{type(error).__name__}: {error}"
            return {}, [(f"{path}.parameters", f"cannot be led on from version {version} ({reason})")]
    return values, []
