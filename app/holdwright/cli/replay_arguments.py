"""Arguments of the commands that replay a recipe, and how they are read."""

import argparse
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from holdwright.joint.cautions import CAUTIONS

if TYPE_CHECKING:
    from holdwright.pipeline.recipe import Recipe

SECONDS: Final = 600.0
SECONDS_PER_MIB: Final = 5.0
"""What a sculpt may take: many times what the largest does on a slow machine, to hit only what hangs."""

MOST_SECONDS: Final = 604_800.0

UNITS: Final = {"mm": "mm", "cm": "cm", "m": "m", "inch": "inch", "file": "as the file says"}
"""Words for the unit of a sculpt, and what the import step calls each."""

SCULPT = "OBJ, STL, PLY, 3MF or GLB file"

CAUTION: Final = textwrap.fill(" ".join(CAUTIONS), 100)


def add_recipe(parser: argparse.ArgumentParser) -> None:
    """Add the recipe and the ways to change it for one run."""
    parser.add_argument("recipe", metavar="RECIPE", help="a recipe file, or the name of a shipped recipe")
    parser.add_argument(
        "--unit",
        choices=UNITS,
        help="unit of the sculpt, instead of the recipe's; file: as the file declares",
    )
    parser.add_argument(
        "--set",
        dest="changes",
        action="append",
        default=[],
        metavar="STEP.PARAM=VALUE",
        help="set a parameter for this run only; STEP is a step's id or its operation",
    )
    parser.add_argument("--strict", action="store_true", help="exit with 5 if a finding is an error")
    add_time(parser)


def add_time(parser: argparse.ArgumentParser) -> None:
    """Add how long the work on one sculpt may take."""
    parser.add_argument(
        "--time",
        metavar="SECONDS",
        type=_seconds,
        help="time limit for one sculpt (default: by the size of its file)",
    )


def time_for(sculpt: Path, requested: float | None) -> float:
    """Give the seconds that the work on a sculpt may take: as requested, or by the size of its file."""
    if requested is not None:
        return requested
    try:
        return SECONDS + SECONDS_PER_MIB * sculpt.stat().st_size / 2**20
    except (OSError, ValueError):
        return SECONDS


def _seconds(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0.0 < value <= MOST_SECONDS:
        raise argparse.ArgumentTypeError(
            f'"{text[:40]}" is not a time; enter seconds, at most {MOST_SECONDS:,.0f} (a week)'
        )
    return value


def requested_recipe(name: str, unit: str | None, changes: Sequence[str]) -> tuple["Recipe", Path]:
    """Load a recipe with the requested changes; give its file too.

    Raises
    ------
    RecipeError, ParameterError
        When there is no such recipe, it cannot be used, or a change makes no sense.
    """
    from holdwright.pipeline.assignment import set_parameter
    from holdwright.pipeline.recipe_file import find_recipe, load_recipe

    path = find_recipe(name)
    recipe = load_recipe(path)
    if unit is not None:
        recipe = recipe.with_parameters(recipe.steps[0].id, {"unit": UNITS[unit]})
    for change in changes:
        recipe = set_parameter(recipe, change)
    return recipe, path
