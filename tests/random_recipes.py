"""Random recipes over the samples, and what must hold of whatever they give.

Values are drawn from what the operations declare of their parameters, so that a new parameter is tried
without a word here. Most stay as the starter recipe has them, so that most recipes finish.
"""

import json
import math
import time
import traceback
import warnings
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import shapely
from hypothesis import strategies as st

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import Cancelled, HoldwrightError, ParameterError
from holdwright.export.job import Job, export
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.hold.feature import Envelope
from holdwright.hold.hold import CORE, SHELL
from holdwright.operations import OPERATIONS
from holdwright.parameters.describe import FieldDescription, describe, is_relevant
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import read_recipe, recipe_text
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.replay import Replay, StepResult, replay_steps
from holdwright.progress import Progress
from holdwright.resources import sample_folder
from recipes import plain_starter

SAMPLES = tuple(sorted(path.name for path in sample_folder().glob("*.obj")))
EXIT_CODES = {2, 3, 4}
LONGEST_SENTENCE = 500
LEAST_CORE = 1e-3
"""Share of the hold below which a core is next to nothing, so that something must be said of it."""

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


# What must hold.


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
    problems = list(_written_and_read(tried.recipe))
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
            problems += _of_refusal(refusal)
        except Exception as fault:  # noqa: BLE001  whatever it is, it is a fault of the program
            kind = "fault"
            problems.append((kind, "".join(traceback.format_exception(fault)[-4:])))
    problems += [("warning", f"{each.filename}, {each.lineno}: {each.message}") for each in warned]
    return Outcome(kind, tuple(problems))


def _done(tried: Tried, folder: Path, cache: Cache | None, progress: Progress) -> "Problems":
    sculpt, path = sample(tried.name), sample_folder() / tried.name
    results: list[StepResult] = []
    for result in replay_steps(tried.recipe, sculpt, catalogue=_KNOWN, cache=cache, progress=progress):
        yield from _of_step(result, results[-1] if results else None, tried.recipe)
        results.append(result)
    exported = export(Job("tried", sculpt, path, tried.recipe, "tried", Replay(tuple(results))), folder)
    for file, _ in exported.files:
        yield from _of_file(file, results[-1])


Problems = Iterator[tuple[str, str]]


def _written_and_read(recipe: Recipe) -> Problems:
    if read_recipe(recipe_text(recipe)) != recipe:
        yield "recipe changed", "it is another once written and read"


def _of_refusal(refusal: HoldwrightError) -> Problems:
    sentence = str(refusal)
    if refusal.exit_code not in EXIT_CODES:
        yield "exit code", f"{type(refusal).__name__} has {refusal.exit_code}"
    if not sentence.strip() or len(sentence) > LONGEST_SENTENCE:
        yield "sentence", f"{len(sentence)} letters: {sentence[:200]}"
    if " nan" in sentence.lower() or " inf " in sentence.lower() or "\n" in sentence:
        yield "sentence", sentence


def _of_step(result: StepResult, before: StepResult | None, recipe: Recipe) -> Problems:
    for name, solid in result.hold.solids.items():
        where = f"{result.operation}, {name}"
        if not (solid.volume > 0.0 and np.isfinite(solid.vertices).all()):
            yield "no solid", f"{where}: volume {solid.volume}"
        yield from _balance(solid.triangles, where, ())
    for finding in result.findings:
        figures = [
            each for each in (finding.measured, finding.limit, *(finding.where or ())) if each is not None
        ]
        if not np.isfinite(figures).all() or not finding.message.strip():
            yield "finding", f"{finding.code}: {finding}"
    if not result.enabled or before is None:
        return
    if result.operation in ("scale_to_envelope", "trim_base"):
        yield from _of_envelope(result, before, recipe)
    if result.operation in ("cut_bore", "cut_screw_hole", "relieve_back", "engrave_back"):
        cut = before.hold.whole.volume - result.hold.whole.volume
        if not cut > 0.0 and not result.findings:
            yield "nothing cut", f"{result.operation} took {cut:.3g} mm3 and says nothing"
    if result.operation == "split_core":
        yield from _of_split(result, before)


def _of_envelope(result: StepResult, before: StepResult, recipe: Recipe) -> Problems:
    """The size asked for, measured by other means than the step's: after the trim where that is measured."""
    envelopes = result.hold.find(Envelope)
    finished = result.operation == "trim_base"
    if not envelopes or envelopes[-1].finished != finished:
        return
    if any(finding.code == "size_departs" for finding in result.findings):
        return
    scaled = (each for each in recipe.steps if each.enabled and each.operation == "scale_to_envelope")
    asked: Any = next(scaled).parameters
    size = result.hold.whole.size
    if finished:
        size = np.array([*size[:2], result.hold.whole.bounds[1, 2]])
    if asked.rule == "circle":
        seen = shapely.MultiPoint(result.hold.whole.vertices[:, :2])
        met, wanted = 2.0 * float(shapely.minimum_bounding_radius(seen)), asked.diameter
    elif asked.rule == "box":
        limits = np.array([asked.box_x, asked.box_y, asked.box_z])
        met, wanted = float((size[limits > 0.0] / limits[limits > 0.0]).max()), 1.0
    elif asked.rule == "factor":
        met = float(np.linalg.det(result.hold.placement[:3, :3]) ** (1 / 3))
        wanted = asked.factor * float(np.linalg.det(before.hold.placement[:3, :3]) ** (1 / 3))
    else:
        met, wanted = float(size[("width", "height", "depth").index(asked.rule)]), asked.length
    slack = 0.1 / float(min(limit for limit in envelopes[-1].asked if limit > 0.0)) if finished else 1e-6
    if not math.isclose(met, wanted, rel_tol=slack):
        yield "envelope", f"{asked.rule}: {wanted:g} was asked for, it is {met:g}"


def _of_split(result: StepResult, before: StepResult) -> Problems:
    whole, shell, core = before.hold.whole, result.hold.solids[SHELL], result.hold.solids[CORE]
    if not math.isclose(shell.volume + core.volume, whole.volume, rel_tol=1e-6):
        yield "shell and core", f"{shell.volume:.6g} + {core.volume:.6g} of {whole.volume:.6g} mm3"
    ends = np.array([shell.bounds, core.bounds])
    together = np.array([ends[:, 0].min(axis=0), ends[:, 1].max(axis=0)])
    if not np.allclose(together, whole.bounds, atol=1e-6 * float(whole.size.max())):
        yield "shell and core", f"bounds {together.tolist()} of {whole.bounds.tolist()}"
    told = [finding for finding in result.findings if finding.severity != "note"]
    if core.volume < LEAST_CORE * whole.volume and not told:
        yield "core of nothing", f"{core.volume:.4g} of {whole.volume:.6g} mm3, and no finding says so"


def _of_file(file: Path, last: StepResult) -> Problems:
    if file.name.endswith(".json"):
        try:
            json.loads(file.read_text("utf-8"), parse_constant=_refused)
        except ValueError as error:
            yield "report", str(error)
    if file.suffix == ".stl":
        rows = np.frombuffer(
            file.read_bytes()[84:], dtype=[("normal", "<f4", 3), ("at", "<f4", (3, 3)), ("", "<u2")]
        )
        corners, joined = np.unique(rows["at"].reshape(-1, 3) + np.float32(0.0), axis=0, return_inverse=True)
        codes = tuple(finding.code for finding in last.findings)
        yield from _balance(joined.reshape(-1, 3), file.name, codes, corners)


def _refused(constant: str) -> None:
    raise ValueError(f"it holds {constant}")


def _balance(triangles: Any, where: str, codes: tuple[str, ...], corners: Any = None) -> Problems:
    """Every edge joins two triangles that run along it in opposite ways."""
    ends = triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2)
    edges, place, uses = np.unique(np.sort(ends, axis=1), axis=0, return_inverse=True, return_counts=True)
    way = np.bincount(place.ravel(), np.where(ends[:, 0] < ends[:, 1], 1, -1), len(edges))
    if (way != 0).any() or (uses % 2 != 0).any():
        yield "open", f"{where}: {np.count_nonzero(way)} edges do not balance"
    elif (uses > 2).any() and not any("touch" in code for code in codes):
        spot = "" if corners is None else f", one at {corners[edges[np.argmax(uses)][0]].tolist()}"
        yield "touches itself", f"{where}: {np.count_nonzero(uses > 2)} edges are used more than twice{spot}"
