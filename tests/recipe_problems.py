"""What must not be of a recipe that was tried, whatever it gives."""

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from holdwright.errors import HoldwrightError
from holdwright.hold.feature import Envelope
from holdwright.hold.hold import CORE, SHELL
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import read_recipe, recipe_text
from holdwright.pipeline.replaying.replay import StepResult

EXIT_CODES = {2, 3, 4}
LONGEST_SENTENCE = 500
LEAST_CORE = 1e-3
"""Share of the hold below which a core is next to nothing, so that something must be said of it."""


Problems = Iterator[tuple[str, str]]


def of_writing(recipe: Recipe) -> Problems:
    if read_recipe(recipe_text(recipe)) != recipe:
        yield "recipe changed", "it is another once written and read"


def of_refusal(refusal: HoldwrightError) -> Problems:
    sentence = str(refusal)
    if refusal.exit_code not in EXIT_CODES:
        yield "exit code", f"{type(refusal).__name__} has {refusal.exit_code}"
    if not sentence.strip() or len(sentence) > LONGEST_SENTENCE:
        yield "sentence", f"{len(sentence)} letters: {sentence[:200]}"
    if " nan" in sentence.lower() or " inf " in sentence.lower() or "\n" in sentence:
        yield "sentence", sentence


def of_step(result: StepResult, before: StepResult | None, recipe: Recipe) -> Problems:
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


def of_file(file: Path, last: StepResult) -> Problems:
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
