"""Recipes to begin with."""

from holdwright import operations
from holdwright.pipeline.recipe import Recipe, Source, Step


def new_recipe(source: Source | None = None) -> Recipe:
    """Give the least recipe there is: the first operation alone, with its defaults."""
    first = operations.OPERATIONS[0]
    return Recipe(source, (Step("s1", first.name, first.version, first.parameters()),))
