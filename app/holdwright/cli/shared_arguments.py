"""Arguments that several commands share, and how one is declared. Loads nothing heavy."""

from pathlib import Path
from typing import Any, Final

from holdwright.cli.argument_values import seconds, sheet

UNITS: Final = {"mm": "mm", "cm": "cm", "m": "m", "inch": "inch", "file": "as the file says"}
"""Words for the unit of a sculpt, and what the import step calls each."""

SCULPT: Final = "OBJ, STL, PLY, 3MF or GLB file"

FORMATS: Final = "stl, 3mf, obj, ply"
DEFAULT_FORMATS: Final = "stl,3mf"

Argument = tuple[tuple[str, ...], dict[str, Any]]


def argument(*flags: str, **settings: Any) -> Argument:
    """Declare an argument, as `argparse` adds it."""
    return flags, settings


def flag(name: str, text: str) -> Argument:
    """Declare one that is there or not."""
    return argument(name, action="store_true", help=text)


def figure(name: str, metavar: str, text: str, **settings: str) -> Argument:
    """Declare one that takes a number."""
    return argument(name, metavar=metavar, type=float, help=text, **settings)


TIME: Final = argument(
    "--time",
    metavar="SECONDS",
    type=seconds,
    help="time limit for one sculpt (default: by the size of its file)",
)
RECIPE: Final = (
    argument("recipe", metavar="RECIPE", help="a recipe file, or the name of a shipped recipe"),
    argument(
        "--unit",
        choices=UNITS,
        help="unit of the sculpt, instead of the recipe's; file: as the file declares",
    ),
    argument(
        "--set",
        dest="changes",
        action="append",
        default=[],
        metavar="STEP.PARAM=VALUE",
        help="set a parameter for this run only; STEP is a step's id or its operation, or joint or print",
    ),
    flag("--strict", "exit with 5 if a finding is an error"),
    TIME,
)
JSON: Final = flag("--json", "print JSON")
ONE_SCULPT: Final = (*RECIPE, argument("sculpt", metavar="SCULPT", type=Path, help=SCULPT), JSON)

EXPORT: Final = (
    argument("--out", metavar="DIR", type=Path, required=True, help="folder for the files"),
    argument(
        "--format",
        dest="formats",
        metavar="LIST",
        default=DEFAULT_FORMATS,
        help=f"formats, separated by commas: {FORMATS} (default {DEFAULT_FORMATS})",
    ),
    argument(
        "--pose",
        choices=("print", "wall"),
        default="print",
        help="print: back on the printer's bed, turned to fit; wall: as on the wall (default print)",
    ),
    flag("--tabs", "add corner tabs, thin discs that hold corners down, as parts of their own"),
    argument(
        "--brim",
        metavar="MM",
        type=float,
        default=0.0,
        help="add a brim so wide, which holds the edge down, as a part of its own",
    ),
    argument(
        "--strength",
        dest="breaking",  # "strength" is the class of the bolt
        action="store_true",
        help="compute where the hold breaks first too, for report and sheet: takes a minute or more",
    ),
    flag("--keep", "write the recipe and pictures too, to be kept with the hold"),
    argument("--designer", metavar="NAME", default="", help="who made it, for the 3MF file"),
    argument("--licence", metavar="TEXT", default="", help="terms of use, for the 3MF file"),
    argument(
        "--sheet",
        nargs="?",
        const="a4,pdf",
        type=sheet,
        metavar="LIST",
        help="write a work sheet too: a4 or letter, pdf or html, or one of each (default a4,pdf)",
    ),
)
