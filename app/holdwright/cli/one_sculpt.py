"""What ``check`` and ``joint`` share: a recipe replayed on one sculpt in a child, and its text or JSON."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from holdwright.cli.error_output import sentence_of
from holdwright.cli.progress_bar import bar
from holdwright.cli.replay_arguments import SCULPT, add_recipe, requested_recipe, time_for
from holdwright.cli.text_format import json_text
from holdwright.errors import Cancelled

if TYPE_CHECKING:
    from collections.abc import Callable

    from holdwright.catalogue.catalogue import Catalogue
    from holdwright.cli.child_supervisor import CommandResult, CommandWork, Prepare
    from holdwright.pipeline.recipe import Recipe
    from holdwright.pipeline.replay import Replay
    from holdwright.progress import Progress

    Report = Callable[[Recipe, Path, Replay], CommandResult]


def add_arguments(parser: argparse.ArgumentParser, prepare: "Prepare") -> None:
    """Add the recipe, the sculpt and ``--json``, and have the command run `prepare` in a child."""
    add_recipe(parser)
    parser.add_argument("sculpt", metavar="SCULPT", type=Path, help=SCULPT)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(run=_run, prepare=prepare)


def _run(arguments: argparse.Namespace) -> int:
    """Print what the work on the sculpt gives; with ``--json`` an error too, under ``refused``."""
    from holdwright.cli.child_supervisor import contained

    try:
        with contained(arguments.prepare, arguments) as child, bar(arguments.sculpt.stem) as progress:
            result = child.do(0, progress, time_for(arguments.sculpt, arguments.time))
    except (Cancelled, BrokenPipeError):
        raise
    except Exception as error:
        if arguments.json:
            print(json_of(arguments, Path(arguments.recipe), sentence_of(error)[0], {"findings": []}))
        raise
    print(result.text)
    return result.code


def replaying(arguments: argparse.Namespace, catalogue: "Catalogue", report: "Report") -> "CommandWork":
    """Prepare to replay the requested recipe on the sculpt and make a `report` of it."""
    from holdwright.files.reading import read_sculpt
    from holdwright.pipeline.replay import replay

    recipe, recipe_path = requested_recipe(arguments.recipe, arguments.unit, arguments.changes)

    def work(_: int, progress: "Progress") -> "CommandResult":
        sculpt = read_sculpt(arguments.sculpt, progress.part(0.0, 0.2))
        replayed = replay(recipe, sculpt, catalogue=catalogue, progress=progress.part(0.2, 1.0))
        return report(recipe, recipe_path, replayed)

    return work


def json_of(
    arguments: argparse.Namespace, recipe: Path, refused: str | None, content: dict[str, object]
) -> str:
    """Write the JSON of a command: sculpt and recipe by name, why it was refused, and the content."""
    names = {"sculpt": arguments.sculpt.name, "recipe": recipe.stem, "refused": refused}
    return json_text({**names, **content})
