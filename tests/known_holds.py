"""Finished samples under one bolt and given loads, whose stress quadratic tetrahedra were asked for.

All but the shape stands in `outside/holds_by_tetrahedra.toml`, so that what the joint reckons may change.
"""

import math
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.joint.holding.loads import Load, Loads
from holdwright.operations.split_core import SplitCore
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.replaying.replay import replay
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import SILENT
from holdwright.resources import sample_folder
from holdwright.strength.hold_model import SolvedHold, solve_hold
from holdwright.strength.load_cases import PatchLoad, patch_load
from holdwright.strength.loaded_hold import LoadedHold, TightenedBolt
from holdwright.strength.printed_parts import printed_parts
from recipes import plain_starter

TABLE = Path(__file__).with_name("outside") / "holds_by_tetrahedra.toml"

SOLID = PrintParameters(shell_infill=100.0)

Row = Mapping[str, Any]
"""Of the table: bolt, wall, loads and what was found."""


def plain_recipe() -> Recipe:
    """The starter recipe with neither screws nor relief nor core."""
    recipe = plain_starter()
    (split,) = (step.id for step in recipe.steps if step.operation == SplitCore.name)
    return recipe.removed(split)


@cache
def finished(name: str) -> Solid:
    """A sample as that recipe finishes it."""
    done = replay(plain_recipe(), read_sculpt(sample_folder() / f"{name}.obj"), catalogue=load_catalogue())
    (solid,) = done.hold.solids.values()
    return solid


def rows() -> dict[str, Row]:
    """The table, by sample."""
    return {each["sample"]: each for each in tomllib.loads(TABLE.read_text("utf-8"))["hold"]}


def loaded_by(solid: Solid, row: Row) -> LoadedHold:
    """A hold on its wall as the row says."""
    bolt = row["bolt"]
    tightened = TightenedBolt(
        np.array(bolt["seat"]),
        np.array([0.0, 0.0, 1.0]),
        *(bolt[each] for each in ("hole", "pressing", "pull", "stiffness")),
    )
    nowhere = Loads(np.empty((0, 2)), np.empty((0, 3)))
    middle = np.array(bolt["seat"][:2])
    return LoadedHold(
        {"whole": solid}, solid, solid.mesh, (tightened,), row["wall"], middle, nowhere, Load(1.0, 1.0)
    )


def patches_of(solid: Solid, row: Row) -> list[PatchLoad]:
    """Its loads."""
    return [patch_load(solid.mesh, np.array(each["force"]), np.array(each["at"])) for each in row["load"]]


def by_cells(solid: Solid, row: Row, cell: float, loads: int | None = None) -> SolvedHold:
    """Solve it on cells, under all loads or the first of them."""
    parts = printed_parts(("whole",), SOLID, load_catalogue())
    return solve_hold(loaded_by(solid, row), parts, patches_of(solid, row)[:loads], cell, SILENT)


def modulus() -> float:
    """Of what the holds are of, MPa."""
    (part,) = printed_parts(("whole",), SOLID, load_catalogue()).values()
    assert math.isfinite(part.modulus.likely)
    return part.modulus.likely
