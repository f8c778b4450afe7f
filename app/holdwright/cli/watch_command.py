"""``holdwright watch``: each sculpt that comes into a folder, or changes there, is finished by a recipe."""

import argparse
import signal
import sys
from pathlib import Path

from holdwright.cli.commands import CAUTION
from holdwright.cli.export_options import listed_formats, requested_options
from holdwright.errors import InputError
from holdwright.export.file_names import names_for
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.recipes.set_file import PlannedHold
from holdwright.pipeline.recipes.variants import Variant
from holdwright.printable import printable
from holdwright.sets.benches import Bench
from holdwright.sets.run_set import SECONDS, HoldMaker, MadeHold, SetOptions, severities
from holdwright.sets.watched_folder import coming_sculpts, sculpts_in


def watch(arguments: argparse.Namespace) -> int:
    """Finish what is in the folder, then whatever changes, until interrupted; give the exit code.

    Raises
    ------
    InputError
        When there is no such folder.
    RecipeError, ParameterError
        When the recipe or a format cannot be used.
    """
    folder: Path = arguments.folder
    if not folder.is_dir():
        raise InputError(f"There is no folder {folder} to watch; make it, or look at its path.")
    load_recipe(find_recipe(arguments.recipe))
    options = SetOptions(
        tuple(listed_formats(arguments.formats)),
        requested_options(arguments),
        seconds=arguments.time or SECONDS,
    )
    for number in (signal.SIGINT, signal.SIGTERM):  # a shell may have begun it with the first one ignored
        signal.signal(number, signal.default_int_handler)
    maker, bench = HoldMaker(arguments.out, options), Bench()
    print(f"{CAUTION}\n\nWatching {printable(folder)}; end it with Ctrl+C.", flush=True)
    try:
        for sculpt in coming_sculpts(folder):
            _tell(maker.make(bench, _planned(sculpt, arguments.recipe)))
    except KeyboardInterrupt:
        print("Ended.", file=sys.stderr)
    finally:
        bench.end()
    return 0


def _planned(sculpt: Path, recipe: str) -> PlannedHold:
    """Name a hold by its sculpt, with the ending where another sculpt has the same name."""
    name = names_for([sculpt])[0]
    alike = [each for each in sculpts_in(sculpt.parent) if names_for([each])[0].casefold() == name.casefold()]
    if len(alike) > 1:
        name = f"{name}-{sculpt.suffix[1:].lower()}"
    return PlannedHold(name, sculpt, recipe, Variant(), "", 1)


def _tell(made: MadeHold) -> None:
    line = f"{printable(made.hold.name)}: {made.status}"
    if made.status == "finished":
        counts = severities(made)
        told = ", ".join(f"{number} {kind}{'s' * (number != 1)}" for kind, number in sorted(counts.items()))
        line += f" in {made.seconds:.1f} s, {told or 'no warnings'}"
    print(f"{line}. {printable(made.message)}" if made.message else line, flush=True)
