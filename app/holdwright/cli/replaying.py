"""A recipe replayed in the child: the requested recipe, and what check and joint share."""

import argparse
from collections.abc import Callable
from pathlib import Path

from holdwright.catalogue.catalogue import Catalogue
from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.shared_arguments import UNITS
from holdwright.files.reading import read_sculpt
from holdwright.joint.joint_parameters import JointParameters
from holdwright.pipeline.recipes.assignment import set_parameter
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.replaying.replay import Replay, replay
from holdwright.progress import Progress


def requested_recipe(arguments: argparse.Namespace) -> tuple[Recipe, Path]:
    """Load the requested recipe with the changes for this run; give its file too.

    Raises
    ------
    RecipeError, ParameterError
        When there is no such recipe, it cannot be used, or a change makes no sense.
    """
    path = find_recipe(arguments.recipe)
    return changed_recipe(load_recipe(path), arguments), path


def changed_recipe(recipe: Recipe, arguments: argparse.Namespace) -> Recipe:
    """Give a recipe with the changes for this run."""
    if arguments.unit is not None:
        recipe = recipe.with_parameters(recipe.steps[0].id, {"unit": UNITS[arguments.unit]})
    for change in arguments.changes:
        recipe = set_parameter(recipe, change)
    return recipe.with_parameters(JointParameters.name, _joint_changes(arguments))


def _joint_changes(arguments: argparse.Namespace) -> dict[str, object]:
    """Give what the command's own arguments say of the joint."""
    values = {name: getattr(arguments, name, None) for name in JointParameters.model_fields}
    return {name: value for name, value in values.items() if value is not None}


def replaying(
    recipe: Recipe,
    sculpt_file: Path,
    catalogue: Catalogue,
    report: Callable[[Replay], CommandResult],
    check_print: bool = False,
) -> CommandWork:
    """Prepare to replay a recipe on one sculpt and make a `report` of it; see `replay.replay`."""

    def work(_: int, progress: Progress) -> CommandResult:
        sculpt = read_sculpt(sculpt_file, progress.part(0.0, 0.2))
        part = progress.part(0.2, 1.0)
        return report(replay(recipe, sculpt, catalogue=catalogue, progress=part, check_print=check_print))

    return work
