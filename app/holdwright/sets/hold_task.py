"""One hold of a set: what it takes to make it, and its making."""

import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import InputError
from holdwright.export.export_key import export_key
from holdwright.export.job import Job, export
from holdwright.export.options import ExportOptions
from holdwright.files.on_disk import digest_of
from holdwright.files.reading import read_sculpt
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe, read_recipe, recipe_text
from holdwright.pipeline.recipes.set_file import PlannedHold
from holdwright.pipeline.recipes.variants import variant_of
from holdwright.pipeline.replaying.replay import replay
from holdwright.pipeline.views.strength_view import replay_with_strength
from holdwright.progress import SILENT, Progress


@dataclass(frozen=True)
class HoldTask:
    """All that makes one hold, as plain text and numbers."""

    name: str
    sculpt: Path
    recipe: str
    """The variant's recipe, as the text of its file."""
    recipe_name: str
    folder: Path
    """Where its files go."""
    formats: tuple[str, ...]
    options: ExportOptions
    key: str
    """As of `export_key`."""

    def do(self, progress: Progress) -> float:
        """Make the hold, and give the seconds it took.

        Raises
        ------
        HoldwrightError
            As reader, steps or `export` raised it.
        """
        begun = time.monotonic()
        make_hold(self, progress)
        return time.monotonic() - begun


def task_of(hold: PlannedHold, out: Path, formats: Sequence[str], options: ExportOptions) -> HoldTask:
    """Prepare a hold's task.

    Raises
    ------
    RecipeError, ParameterError
        When there is no such recipe, or it cannot be the variant.
    InputError
        When the sculpt cannot be read.
    """
    path = find_recipe(hold.recipe)
    recipe = variant_of(load_recipe(path), hold.variant)
    key = export_key(_digest(hold.sculpt), recipe, formats, None, options)
    folder = out / hold.name
    return HoldTask(
        hold.name, hold.sculpt, recipe_text(recipe), path.stem, folder, tuple(formats), options, key
    )


def _digest(path: Path) -> str:
    try:
        return digest_of(path)
    except OSError as error:
        raise InputError(
            f"The sculpt {path} cannot be read: {error.strerror or error}; look at its path in the set."
        ) from None


def make_hold(task: HoldTask, progress: Progress = SILENT) -> None:
    """Replay the task's recipe on its sculpt and write the files."""
    recipe = read_recipe(task.recipe, task.recipe_name)
    sculpt = read_sculpt(task.sculpt, progress.part(0.0, 0.2))
    part = progress.part(0.2, 0.9)
    if task.options.strength:
        replayed = replay_with_strength(recipe, sculpt, task.sculpt, load_catalogue(), part)
    else:
        replayed = replay(recipe, sculpt, catalogue=load_catalogue(), progress=part, check_print=True)
    job = Job(task.name, sculpt, task.sculpt, recipe, task.recipe_name, replayed)
    export(job, task.folder, task.formats, progress.part(0.9, 1.0), options=task.options)
