"""Random recipes over the samples, and what became of them.

Values are drawn from what the operations declare of their parameters, so that a new parameter is tried
without a word here. Most stay as the starter recipe has them, so that most recipes finish.
"""

import time
import traceback
import warnings
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
from hypothesis import strategies as st

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import Cancelled, HoldwrightError, ParameterError
from holdwright.export.job import Job, export
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.operations import OPERATIONS
from holdwright.parameters.describe import FieldDescription, describe, is_relevant
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import recipe_text
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.replay import Replay, StepResult, replay_steps
from holdwright.progress import Progress
from holdwright.resources import sample_folder
from recipe_problems import Problems, of_file, of_refusal, of_step, of_writing
from recipes import plain_starter

SAMPLES = tuple(sorted(path.name for path in sample_folder().glob("*.obj")))

CHANGED, CALLED_FOR = 0.12, 0.8
"""How many of the values are changed; of those that matter only since another was, most."""

_SPREAD = {"length": 40.0, "number": 4.0, "percent": 10.0, "share": 1.0, "angle": 180.0}
"""How far values go from 0 where that is the default."""

_FAR = 400.0
"""Limits beyond this are left to tests of their own: holds of metres take long."""

_KNOWN = load_catalogue()
_BY_NAME = {operation.name: operation for operation in OPERATIONS}


@cache
def sample(name: str) -> Sculpt:
    """Read a sample once."""
    return read_sculpt(sample_folder() / name)


# Drawing recipes.


def _number(field: FieldDescription, chance: Random) -> float:
    """Give a figure of three decimals that the field allows; now and then the limit itself."""
    usual = float(field.default) if isinstance(field.default, int | float) else 0.0
    low, high = (usual / 4.0, usual * 3.0) if usual else (-_SPREAD[field.kind], _SPREAD[field.kind])
    least = low if field.minimum is None else max(low, field.minimum)
    most = high if field.maximum is None else min(high, field.maximum)
    limits = [field.minimum] * (not field.minimum_open) + [field.maximum] * (not field.maximum_open)
    near = [limit for limit in limits if limit is not None and abs(limit) <= _FAR]
    if near and chance.random() < 0.1:
        return float(chance.choice(near))
    share = chance.random()
    if usual == 0.0 and least >= 0.0:
        share *= share  # most of what is usually nothing is little
    value = round(least + (most - least) * share, 3)
    return min(max(value, least), most) or 0.001


def _pick(operation: str, sculpt: Sculpt, chance: Random) -> dict[str, Any]:
    """Pick a place on or about the hold, wherever it stands as that step meets it."""
    low, high = np.array([-60.0, -60.0, 0.0]), np.array([60.0, 60.0, 60.0])
    if operation == "orient_to_base":  # import makes the sculpt 100 across, where its file has it
        corners = np.concatenate([piece.vertices for piece in sculpt.pieces]) + sculpt.origin
        low, high = corners.min(axis=0), corners.max(axis=0)
        low, high = (end * 100.0 / float((high - low).max()) for end in (low, high))
    place = [round(chance.uniform(*ends), 2) for ends in zip(low, high, strict=True)]
    return {"point": place, "normal": [round(chance.gauss(), 2) for _ in range(3)]}


def _value(field: FieldDescription, operation: str, sculpt: Sculpt, chance: Random) -> Any:  # noqa: PLR0911
    """Give what a field may hold, as a plain value."""
    if field.optional and field.kind != "pick" and chance.random() < 0.3:
        return None
    match field.kind:
        case "switch":
            return chance.random() < 0.5
        case "choice":
            return chance.choice(field.choices)
        case "row":
            names = _KNOWN.names(field.rows or "")
            same = [name for name in names if name.split()[0] == str(field.default).split()[0]]
            return chance.choice(same if chance.random() < 0.7 else names)
        case "count":
            return chance.randint(int(field.minimum or 0), int(min(field.maximum or 5, 5)))
        case "names":
            pieces = [piece.name for piece in sculpt.pieces]
            return chance.sample([*pieces, pieces[0][:3] + "*"], chance.randint(0, 2))
        case "position":
            return [round(chance.uniform(-45.0, 45.0), 2), round(chance.uniform(-45.0, 45.0), 2)]
        case "text":
            return chance.choice(("", "R2", "2026-11-29", "Sloper with a long name", "Größe 3", "握り"))
        case "pick":
            return _pick(operation, sculpt, chance)
        case "picks":
            return [_pick(operation, sculpt, chance) for _ in range(chance.choice((1, 2, 3, 3)))]
        case _:
            return _number(field, chance)


@dataclass(frozen=True)
class Tried:
    """A recipe to try on a sample."""

    name: str
    recipe: Recipe

    def __repr__(self) -> str:
        return f"{self.name}: {recipe_text(self.recipe)}"


def random_recipe(chance: Random) -> Tried:
    """Choose a sample and a recipe for it: the starter's steps, holes added, some values of each changed."""
    name = chance.choice(SAMPLES)
    recipe = plain_starter()
    holes = chance.choice(([], [], [], ["cut_screw_hole"], ["cut_screw_hole"] * 2, ["cut_bore"]))
    for extra in (*holes, *chance.choice(([], ["relieve_back"])), *chance.choice(([], ["engrave_back"]))):
        recipe = recipe.inserted(_BY_NAME[extra])
    for step in recipe.steps:
        for field in describe(type(step.parameters)):
            now = recipe.step(step.id).parameters
            called_for = is_relevant(field, now) and not is_relevant(field, step.parameters)
            if is_relevant(field, now) and chance.random() < (CALLED_FOR if called_for else CHANGED):
                value = _value(field, step.operation, sample(name), chance)
                with suppress(
                    ParameterError
                ):  # it does not go with the others: refused before anything is done
                    recipe = recipe.with_parameters(step.id, {field.name: value})
        if step is not recipe.steps[0] and chance.random() < 0.04:
            recipe = recipe.toggled(step.id)
    return Tried(name, recipe)


def tried_recipes() -> st.SearchStrategy[Tried]:
    """Random recipes: spread evenly, where strategies field by field would mostly give the least of each."""
    return st.randoms(use_true_random=True).map(random_recipe)


@dataclass(frozen=True)
class Outcome:
    """What became of a recipe.

    Attributes
    ----------
    kind
        "finished", the class of the error that ended it, "too long" or "fault".
    problems
        Pairs of (short stable name, what was met): all that must not be.
    """

    kind: str
    problems: tuple[tuple[str, str], ...]


def outcome_of(tried: Tried, folder: Path, cache: Cache | None = None, seconds: float = 60.0) -> Outcome:
    """Do a recipe, write its files into the folder, and look at all it gave."""
    problems = list(of_writing(tried.recipe))
    end = time.monotonic() + seconds
    progress = Progress(cancelled=lambda: time.monotonic() > end)
    kind = "finished"
    with warnings.catch_warnings(record=True) as warned:
        warnings.simplefilter("always")
        try:
            for problem in _done(tried, folder, cache, progress):
                problems.append(problem)  # noqa: PERF402  those met before an error count
        except Cancelled:
            kind = "too long"
        except HoldwrightError as refusal:
            kind = type(refusal).__name__
            problems += of_refusal(refusal)
        except Exception as fault:  # noqa: BLE001  whatever it is, it is a fault of the program
            kind = "fault"
            problems.append((kind, "".join(traceback.format_exception(fault)[-4:])))
    problems += [("warning", f"{each.filename}, {each.lineno}: {each.message}") for each in warned]
    return Outcome(kind, tuple(problems))


def _done(tried: Tried, folder: Path, cache: Cache | None, progress: Progress) -> Problems:
    sculpt, path = sample(tried.name), sample_folder() / tried.name
    results: list[StepResult] = []
    for result in replay_steps(tried.recipe, sculpt, catalogue=_KNOWN, cache=cache, progress=progress):
        yield from of_step(result, results[-1] if results else None, tried.recipe)
        results.append(result)
    exported = export(Job("tried", sculpt, path, tried.recipe, "tried", Replay(tuple(results))), folder)
    for file, _ in exported.files:
        yield from of_file(file, results[-1])
