"""A geometry process and what it answers."""

from pathlib import Path
from typing import Any

from holdwright.pipeline.geometry_process.child import Child
from holdwright.pipeline.geometry_process.messages import Ended, Sent, Task
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import recipe_text
from holdwright.pipeline.views.display_results import ShownStep, StepsRequest, show_steps
from holdwright.pipeline.views.geometry_worker import GeometryWorker, RecipeWork

WAIT = 60.0


def geometry_child(store: Path) -> Child:
    """Start a geometry process, and wait until it is ready."""
    child = Child(GeometryWorker, store, name="holdwright-geometry")
    assert child.answer(WAIT) == Ended(0)
    return child


def ask(
    child: Child, number: int, work: Any, recipe: Recipe | str, sculpt: Path | str, requested: Any
) -> None:
    """Ask for work on a recipe, or a recipe's text, and a sculpt."""
    text = recipe if isinstance(recipe, str) else recipe_text(recipe)
    child.ask(Task(number, RecipeWork(work, text, str(sculpt), requested)))


def ask_steps(child: Child, number: int, recipe: Recipe | str, sculpt: Path | str, **requested: Any) -> None:
    """Ask for the steps of a recipe to be shown."""
    ask(child, number, show_steps, recipe, sculpt, StepsRequest(**requested))


def answers(child: Child, number: int) -> list:
    """Give all answers up to the end of a task."""
    met = []
    while not (met and isinstance(met[-1], Ended) and met[-1].number == number):
        answer = child.answer(WAIT)
        assert answer is not None, "no answer in time"
        met.append(answer)
    return met


def shown_steps(answered: list) -> list[ShownStep]:
    """Give the steps among answers."""
    sent = [each.content for each in answered if isinstance(each, Sent)]
    return [each for each in sent if isinstance(each, ShownStep)]
