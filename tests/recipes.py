"""Recipes to begin with."""

from holdwright import operations
from holdwright.pipeline.recipes.recipe import Recipe, Source, Step
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe

FINISHING = ("cut_screw_hole", "relieve_back")
"""Steps of the starter recipe that tests about other steps do without."""


def new_recipe(source: Source | None = None) -> Recipe:
    """Give the least recipe there is: the first operation alone, with its defaults."""
    first = operations.OPERATIONS[0]
    return Recipe(source, (Step("s1", first.name, first.version, first.parameters()),))


def plain_starter() -> Recipe:
    """Give the starter recipe without its screws and its relieved back."""
    recipe = load_recipe(find_recipe("starter"))
    for step in recipe.steps:
        recipe = recipe.removed(step.id) if step.operation in FINISHING else recipe
    return recipe
