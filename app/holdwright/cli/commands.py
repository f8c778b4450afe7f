"""The commands and their arguments. Loads nothing heavy, so that help is there at once."""

import argparse
import textwrap
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final

from holdwright.errors import ParameterError
from holdwright.joint.cautions import CAUTIONS
from holdwright.sheet.choice import SheetChoice

MOST_SECONDS: Final = 604_800.0
MOST_JOBS: Final = 256
MOST_CELL: Final = 20.0
"""mm."""

UNITS: Final = {"mm": "mm", "cm": "cm", "m": "m", "inch": "inch", "file": "as the file says"}
"""Words for the unit of a sculpt, and what the import step calls each."""

SCULPT: Final = "OBJ, STL, PLY, 3MF or GLB file"

FORMATS: Final = "stl, 3mf, obj, ply"
DEFAULT_FORMATS: Final = "stl,3mf"

CAUTION: Final = textwrap.fill(" ".join(CAUTIONS), 100)

_OWN_ROWS: Final = (
    "To add rows to the tables, set the environment variable HOLDWRIGHT_TABLES to a TOML file or a folder of "
    "them."
)

EVENTS: Final = (
    "printed",
    "sanded",
    "mounted",
    "tightened",
    "inspected",
    "observed",
    "taken down",
    "retired",
)
"""What a hold's log tells of; `sets.hold_log` has the same."""

Argument = tuple[tuple[str, ...], dict[str, Any]]


@dataclass(frozen=True)
class ShellCommand:
    """What the help says of a command, and its arguments; the module of its name does the work."""

    help: str
    description: str
    arguments: tuple[Argument, ...]
    epilog: str | None = None
    formatter: type[argparse.HelpFormatter] = argparse.HelpFormatter

    def add_to(self, parsers: "argparse._SubParsersAction[Any]", name: str) -> None:
        """Add the command by its name."""
        parser = parsers.add_parser(
            name,
            help=self.help,
            description=self.description,
            epilog=self.epilog,
            formatter_class=self.formatter,
        )
        for flags, settings in self.arguments:
            parser.add_argument(*flags, **settings)
        parser.set_defaults(command=name)


class _Schema(argparse.Action):
    """Prints the report's schema and exits, whatever the other arguments."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(nargs=0, **settings)

    def __call__(self, parser: argparse.ArgumentParser, *_: Any, **__: Any) -> None:
        import json

        from holdwright.export.report import report_schema

        print(json.dumps(report_schema(), indent=2))
        parser.exit()


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


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f'"{text[:40]}" is no date; enter it as 2026-11-29') from None


def _jobs(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= MOST_JOBS:
        raise argparse.ArgumentTypeError(f'"{text[:40]}" is no number of jobs; enter 1 to {MOST_JOBS}')
    return int(text)


def _cells(text: str) -> str | float:
    if text in ("preview", "fine"):
        return text
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0.0 < value <= MOST_CELL:
        raise argparse.ArgumentTypeError(
            f'"{text[:40]}" is no size of cells; enter preview, fine, or up to {MOST_CELL:g} mm'
        )
    return value


def _sheet(text: str) -> SheetChoice:
    try:
        return SheetChoice.of(text)
    except ParameterError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def _argument(*flags: str, **settings: Any) -> Argument:
    return flags, settings


def _flag(name: str, text: str) -> Argument:
    return _argument(name, action="store_true", help=text)


def _figure(name: str, metavar: str, text: str, **settings: str) -> Argument:
    return _argument(name, metavar=metavar, type=float, help=text, **settings)


_TIME = _argument(
    "--time",
    metavar="SECONDS",
    type=_seconds,
    help="time limit for one sculpt (default: by the size of its file)",
)
_RECIPE = (
    _argument("recipe", metavar="RECIPE", help="a recipe file, or the name of a shipped recipe"),
    _argument(
        "--unit",
        choices=UNITS,
        help="unit of the sculpt, instead of the recipe's; file: as the file declares",
    ),
    _argument(
        "--set",
        dest="changes",
        action="append",
        default=[],
        metavar="STEP.PARAM=VALUE",
        help="set a parameter for this run only; STEP is a step's id or its operation, or joint or print",
    ),
    _flag("--strict", "exit with 5 if a finding is an error"),
    _TIME,
)
_JOINT_ROWS: Final = {
    "material": "what the hold is printed in",
    "friction": "surface of the wall",
    "nut-factor": "finish of the bolt",
    "strength": "strength class of the bolt",
    "t-nut": "T-nut behind the panel",
    "wood-screw": "wood screw that keeps the hold from turning",
}
"""Rows of tables that the joint is judged for, and what each is."""
_JSON = _flag("--json", "print JSON")
_ONE_SCULPT = (*_RECIPE, _argument("sculpt", metavar="SCULPT", type=Path, help=SCULPT), _JSON)

_EXPORT = (
    _argument("--out", metavar="DIR", type=Path, required=True, help="folder for the files"),
    _argument(
        "--format",
        dest="formats",
        metavar="LIST",
        default=DEFAULT_FORMATS,
        help=f"formats, separated by commas: {FORMATS} (default {DEFAULT_FORMATS})",
    ),
    _argument(
        "--pose",
        choices=("print", "wall"),
        default="print",
        help="print: back on the printer's bed, turned to fit; wall: as on the wall (default print)",
    ),
    _flag("--tabs", "add corner tabs, thin discs that hold corners down, as parts of their own"),
    _argument(
        "--brim",
        metavar="MM",
        type=float,
        default=0.0,
        help="add a brim so wide, which holds the edge down, as a part of its own",
    ),
    _argument(
        "--strength",
        dest="breaking",  # "strength" is the class of the bolt
        action="store_true",
        help="compute where the hold breaks first too, for report and sheet: takes a minute or more",
    ),
    _flag("--keep", "write the recipe and pictures too, to be kept with the hold"),
    _argument("--designer", metavar="NAME", default="", help="who made it, for the 3MF file"),
    _argument("--licence", metavar="TEXT", default="", help="terms of use, for the 3MF file"),
    _argument(
        "--sheet",
        nargs="?",
        const="a4,pdf",
        type=_sheet,
        metavar="LIST",
        help="write a work sheet too: a4 or letter, pdf or html, or one of each (default a4,pdf)",
    ),
)

COMMANDS: Final = {
    "replay": ShellCommand(
        "replay a recipe on sculpts and write files for the printer",
        "Replays a recipe on each sculpt and writes the parts and a report. All files of a sculpt are "
        "written, or none; if one sculpt fails, the others continue.",
        (
            *_RECIPE,
            _argument("sculpts", metavar="SCULPT", nargs="+", type=Path, help=SCULPT),
            *_EXPORT,
            _argument("--schema", action=_Schema, help="print the JSON schema of the report and exit"),
        ),
        CAUTION,
    ),
    "set": ShellCommand(
        "make a whole set of holds, with shopping list and plates",
        "Makes all holds of a set's file side by side, each into a folder of its name, and for the set a "
        "shopping list, a contact sheet, plates for the printer and a report. A hold that fails stops no "
        "other; one whose files are there and would come out the same is not made again.",
        (
            _argument("set", metavar="SETFILE", type=Path, help="a set's file: JSON with format and holds"),
            *_EXPORT,
            _argument(
                "--jobs",
                metavar="N",
                type=_jobs,
                default=0,
                help="holds made side by side (default: one for each core)",
            ),
            _argument(
                "--cluster",
                metavar="ADDRESS",
                default="",
                help="have the workers of this Dask scheduler make the holds, as host:8786 "
                "(needs holdwright[cluster])",
            ),
            _flag("--strict", "exit with 5 if a finding of a hold is an error"),
            _TIME,
            _JSON,
        ),
        CAUTION,
    ),
    "wall": ShellCommand(
        "hang a set on its wall: checked, drawn to scale, with a mounting list",
        "Hangs the finished holds of a set on the T-nuts of a wall, as its file places them or spread by "
        "chance, looks for what is wrong there, and writes a plan (SVG and PDF), a mounting list (CSV), the "
        "wall as placed and a report.",
        (
            _argument(
                "wall", metavar="WALLFILE", type=Path, help="a wall's file: JSON with panels and t_nuts"
            ),
            _argument("set", metavar="SETDIR", type=Path, help="folder of the finished set"),
            _argument("--out", metavar="DIR", type=Path, required=True, help="folder for the files"),
            _argument("--spread", metavar="SEED", type=int, help="place all holds anew, by this seed"),
            _flag("--strict", "exit with 5 if a finding is an error"),
            _JSON,
        ),
        CAUTION,
    ),
    "log": ShellCommand(
        "write down what was done to a hold, and list what is due",
        "With an EVENT, writes it into the log of the hold whose files are in FOLDER (NAME.log.csv, plain "
        "text). Without one, prints all logs in the folder and below it, and what is due: tightening again "
        "after a day and a week, and inspections.",
        (
            _argument("folder", metavar="FOLDER", type=Path, help="a hold's folder; to list, any above it"),
            _argument("event", metavar="EVENT", nargs="?", choices=EVENTS, help=", ".join(EVENTS)),
            _argument("--on", metavar="DATE", type=_date, help="as 2026-11-29 (default: today)"),
            _argument("--copy", metavar="NAME", default="", help="which copy, where there are several"),
            _argument("--where", metavar="PLACE", default="", help="on which wall, at which T-nut"),
            _figure("--torque", "NM", "tightened with, N m"),
            _argument("--note", metavar="TEXT", default="", help="in your own words"),
            _argument(
                "--every", metavar="DAYS", type=int, default=30, help="between inspections (default 30)"
            ),
            _JSON,
        ),
        CAUTION,
    ),
    "watch": ShellCommand(
        "finish each sculpt that comes into a folder or changes there",
        "Replays a recipe on every sculpt in a folder, then on each that comes or changes, as soon as it is "
        "whole, until it is ended with Ctrl+C. Each hold's files go into a folder of its name; what would "
        "come out the same is not made again.",
        (
            _argument("recipe", metavar="RECIPE", help="a recipe file, or the name of a shipped recipe"),
            _argument("folder", metavar="FOLDER", type=Path, help="where the sculpts come to"),
            *_EXPORT,
            _TIME,
        ),
        CAUTION,
    ),
    "check": ShellCommand(
        "print the findings, without writing files",
        "Replays a recipe on a sculpt and prints only the findings.",
        _ONE_SCULPT,
        CAUTION,
    ),
    "joint": ShellCommand(
        "check the bolted joint of the finished hold",
        "Replays a recipe on a sculpt and computes the joint of each bore: preload, seat pressure, safety "
        "against spin, slip, lift and overturning, bolt length, torque and wood screws.",
        (
            *_ONE_SCULPT,
            _figure("--torque", "NM", "tightening torque in N m, instead of the recipe's, as all of these"),
            _figure("--panel", "MM", "thickness of the panel in mm", dest="thickness"),
            _figure("--load", "KG", "mass of the climber in kg", dest="mass"),
            _figure("--factor", "F", "multiple of the weight that acts"),
            _figure("--overhang", "DEG", "overhang of the wall in degrees"),
            _argument("--mounting", choices=("any", "up"), help="mounted any way up, or this way up alone"),
            _figure("--behind", "MM", "free space behind the panel in mm"),
            _figure("--printed", "SHARE", "strength printed by moulded, 0 to 1"),
            _figure("--across-layers", "SHARE", "strength across layers by along them, 0 to 1"),
            *(_argument(f"--{name}", metavar="NAME", help=text) for name, text in _JOINT_ROWS.items()),
            _argument("--screw", metavar="NAME", help="use another bolt than the hold is bored for"),
            _argument("--washer", metavar="NAME", help="use another washer, or none"),
            _flag("--places", "also list the best places for each bore, with reasons"),
        ),
        "\n".join([*(textwrap.fill(each, 76) for each in CAUTIONS), "", textwrap.fill(_OWN_ROWS, 76)]),
        argparse.RawDescriptionHelpFormatter,
    ),
    "strength": ShellCommand(
        "compute where the hold breaks first, and near what load",
        "Replays a recipe on a sculpt and computes by finite elements where the finished hold breaks "
        "first, the range of the load at which it does, and how much infill, passes, material, the way it "
        "is printed or another place of the bolt would change that. What it is printed with and loaded by "
        "are the recipe's "
        "sections print and joint; change them with --set, as in --set print.shell_infill=20.",
        (
            *_ONE_SCULPT,
            _argument(
                "--cell",
                metavar="SIZE",
                type=_cells,
                default="preview",
                help="preview, fine, or the side of a cell in mm (default preview: 3 mm up to 150 mm)",
            ),
            _flag("--no-changes", "leave out what changes would do, which takes most of the time"),
        ),
        CAUTION,
    ),
    "estimate": ShellCommand(
        "estimate mass, filament, time and cost of the printed parts",
        "Replays a recipe on a sculpt, slices its parts and estimates what printing them takes, with the "
        "settings of the recipe's section print; change them with --set, as in --set print.passes=3.",
        _ONE_SCULPT,
        CAUTION,
    ),
    "compare": ShellCommand(
        "show what a revised sculpt changes of the finished hold",
        "Replays a recipe on an old and a new sculpt, the new one first brought back to where the old one "
        "lay, and compares the holds: size, volume, masses, margins, joint, findings, and the distance "
        "between their surfaces; or two recipes on one sculpt. Refuses a sculpt that is another one "
        "altogether.",
        (
            *_RECIPE,
            _argument("old", metavar="OLD", type=Path, help=f"the sculpt before: {SCULPT}"),
            _argument("sculpt", metavar="NEW", type=Path, help=f"the revised sculpt: {SCULPT}"),
            _argument(
                "--recipe-after",
                metavar="RECIPE",
                help="replay this recipe on NEW, to compare two recipes; OLD and NEW may be one file",
            ),
            _argument(
                "--sheet",
                metavar="FILE",
                type=Path,
                help="write the comparison as a page too: a file that ends in .pdf or .html",
            ),
            _JSON,
        ),
        CAUTION,
    ),
    "inspect": ShellCommand(
        "show what a sculpt file contains, and whether it makes a solid",
        "Reads a file, splits it into pieces, fuses them and reports what it found. All figures are in file "
        "units. Exits with 3 if no solid can be made.",
        (_argument("sculpt", metavar="FILE", type=Path, help=SCULPT), _JSON, _TIME),
    ),
    "operations": ShellCommand(
        "list the operations and their parameters",
        "Lists the operations of a recipe with their parameters, in shop order.",
        (
            _argument("names", metavar="OPERATION", nargs="*", help="only these (default: all)"),
            _flag("--schema", "print the JSON schema of each one's parameters"),
        ),
    ),
}
