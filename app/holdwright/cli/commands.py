"""The commands and their arguments. Loads nothing heavy, so that help is there at once."""

import argparse
import textwrap
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from holdwright.cli.argument_values import cell, day, jobs
from holdwright.cli.shared_arguments import (
    EXPORT,
    JSON,
    ONE_SCULPT,
    RECIPE,
    SCULPT,
    TIME,
    Argument,
    argument,
    figure,
    flag,
)
from holdwright.joint.cautions import CAUTIONS
from holdwright.sets.hold_log import EVENTS, INSPECTED_EVERY

CAUTION: Final = textwrap.fill(" ".join(CAUTIONS), 100)

_OWN_ROWS: Final = (
    "To add rows to the tables, set the environment variable HOLDWRIGHT_TABLES to a TOML file or a folder of "
    "them."
)


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


_JOINT_ROWS: Final = {
    "material": "what the hold is printed in",
    "friction": "surface of the wall",
    "nut-factor": "finish of the bolt",
    "strength": "strength class of the bolt",
    "t-nut": "T-nut behind the panel",
    "wood-screw": "wood screw that keeps the hold from turning",
}
"""Rows of tables that the joint is judged for, and what each is."""

COMMANDS: Final = {
    "replay": ShellCommand(
        "replay a recipe on sculpts and write files for the printer",
        "Replays a recipe on each sculpt and writes the parts and a report. All files of a sculpt are "
        "written, or none; if one sculpt fails, the others continue.",
        (
            *RECIPE,
            argument("sculpts", metavar="SCULPT", nargs="+", type=Path, help=SCULPT),
            *EXPORT,
            argument("--schema", action=_Schema, help="print the JSON schema of the report and exit"),
        ),
        CAUTION,
    ),
    "set": ShellCommand(
        "make a whole set of holds, with shopping list and plates",
        "Makes all holds of a set's file side by side, each into a folder of its name, and for the set a "
        "shopping list, a contact sheet, plates for the printer and a report. A hold that fails stops no "
        "other; one whose files are there and would come out the same is not made again.",
        (
            argument("set", metavar="SETFILE", type=Path, help="a set's file: JSON with format and holds"),
            *EXPORT,
            argument(
                "--jobs",
                metavar="N",
                type=jobs,
                default=0,
                help="holds made side by side (default: one for each core)",
            ),
            argument(
                "--cluster",
                metavar="ADDRESS",
                default="",
                help="have the workers of this Dask scheduler make the holds, as host:8786 "
                "(needs holdwright[cluster])",
            ),
            flag("--strict", "exit with 5 if a finding of a hold is an error"),
            TIME,
            JSON,
        ),
        CAUTION,
    ),
    "wall": ShellCommand(
        "hang a set on its wall: checked, drawn to scale, with a mounting list",
        "Hangs the finished holds of a set on the T-nuts of a wall, as its file places them or spread by "
        "chance, looks for what is wrong there, and writes a plan (SVG and PDF), a mounting list (CSV), the "
        "wall as placed and a report.",
        (
            argument(
                "wall", metavar="WALLFILE", type=Path, help="a wall's file: JSON with panels and t_nuts"
            ),
            argument(
                "set",
                metavar="SETDIR",
                type=Path,
                nargs="?",
                help="folder of the finished set (default: the one that the wall's file names)",
            ),
            argument("--out", metavar="DIR", type=Path, required=True, help="folder for the files"),
            argument("--spread", metavar="SEED", type=int, help="place all holds anew, by this seed"),
            flag("--strict", "exit with 5 if a finding is an error"),
            JSON,
        ),
        CAUTION,
    ),
    "log": ShellCommand(
        "write down what was done to a hold, and list what is due",
        "With an EVENT, writes it into the log of the hold whose files are in FOLDER (NAME.log.csv, plain "
        "text). Without one, prints all logs in the folder and below it, and what is due: tightening again "
        "after a day and a week, and inspections.",
        (
            argument("folder", metavar="FOLDER", type=Path, help="a hold's folder; to list, any above it"),
            argument("event", metavar="EVENT", nargs="?", choices=EVENTS, help=", ".join(EVENTS)),
            argument("--on", metavar="DATE", type=day, help="as 2026-11-29 (default: today)"),
            argument("--copy", metavar="NAME", default="", help="which copy, where there are several"),
            argument("--where", metavar="PLACE", default="", help="on which wall, at which T-nut"),
            figure("--torque", "NM", "tightened with, N m"),
            argument("--note", metavar="TEXT", default="", help="in your own words"),
            argument(
                "--every",
                metavar="DAYS",
                type=int,
                default=INSPECTED_EVERY,
                help=f"between inspections (default {INSPECTED_EVERY})",
            ),
            JSON,
        ),
        CAUTION,
    ),
    "watch": ShellCommand(
        "finish each sculpt that comes into a folder or changes there",
        "Replays a recipe on every sculpt in a folder, then on each that comes or changes, as soon as it is "
        "whole, until it is ended with Ctrl+C. Each hold's files go into a folder of its name; what would "
        "come out the same is not made again.",
        (
            argument("recipe", metavar="RECIPE", help="a recipe file, or the name of a shipped recipe"),
            argument("folder", metavar="FOLDER", type=Path, help="where the sculpts come to"),
            *EXPORT,
            TIME,
        ),
        CAUTION,
    ),
    "check": ShellCommand(
        "print the findings, without writing files",
        "Replays a recipe on a sculpt and prints only the findings.",
        ONE_SCULPT,
        CAUTION,
    ),
    "joint": ShellCommand(
        "check the bolted joint of the finished hold",
        "Replays a recipe on a sculpt and computes the joint of each bore: preload, seat pressure, safety "
        "against spin, slip, lift and overturning, bolt length, torque and wood screws.",
        (
            *ONE_SCULPT,
            figure("--torque", "NM", "tightening torque in N m, instead of the recipe's, as all of these"),
            figure("--panel", "MM", "thickness of the panel in mm", dest="thickness"),
            figure("--load", "KG", "mass of the climber in kg", dest="mass"),
            figure("--factor", "F", "multiple of the weight that acts"),
            figure("--overhang", "DEG", "overhang of the wall in degrees"),
            argument("--mounting", choices=("any", "up"), help="mounted any way up, or this way up alone"),
            figure("--behind", "MM", "free space behind the panel in mm"),
            figure("--printed", "SHARE", "strength printed by moulded, 0 to 1"),
            figure("--across-layers", "SHARE", "strength across layers by along them, 0 to 1"),
            *(argument(f"--{name}", metavar="NAME", help=text) for name, text in _JOINT_ROWS.items()),
            argument("--screw", metavar="NAME", help="use another bolt than the hold is bored for"),
            argument("--washer", metavar="NAME", help="use another washer, or none"),
            flag("--places", "also list the best places for each bore, with reasons"),
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
            *ONE_SCULPT,
            argument(
                "--cell",
                metavar="SIZE",
                type=cell,
                default="preview",
                help="preview, fine, or the side of a cell in mm (default preview: 3 mm up to 150 mm)",
            ),
            flag("--no-changes", "leave out what changes would do, which takes most of the time"),
        ),
        CAUTION,
    ),
    "estimate": ShellCommand(
        "estimate mass, filament, time and cost of the printed parts",
        "Replays a recipe on a sculpt, slices its parts and estimates what printing them takes, with the "
        "settings of the recipe's section print; change them with --set, as in --set print.passes=3.",
        ONE_SCULPT,
        CAUTION,
    ),
    "compare": ShellCommand(
        "show what a revised sculpt changes of the finished hold",
        "Replays a recipe on an old and a new sculpt, the new one first brought back to where the old one "
        "lay, and compares the holds: size, volume, masses, margins, joint, findings, and the distance "
        "between their surfaces; or two recipes on one sculpt. Refuses a sculpt that is another one "
        "altogether.",
        (
            *RECIPE,
            argument("old", metavar="OLD", type=Path, help=f"the sculpt before: {SCULPT}"),
            argument("sculpt", metavar="NEW", type=Path, help=f"the revised sculpt: {SCULPT}"),
            argument(
                "--recipe-after",
                metavar="RECIPE",
                help="replay this recipe on NEW, to compare two recipes; OLD and NEW may be one file",
            ),
            argument(
                "--sheet",
                metavar="FILE",
                type=Path,
                help="write the comparison as a page too: a file that ends in .pdf or .html",
            ),
            JSON,
        ),
        CAUTION,
    ),
    "inspect": ShellCommand(
        "show what a sculpt file contains, and whether it makes a solid",
        "Reads a file, splits it into pieces, fuses them and reports what it found. All figures are in file "
        "units. Exits with 3 if no solid can be made.",
        (argument("sculpt", metavar="FILE", type=Path, help=SCULPT), JSON, TIME),
    ),
    "operations": ShellCommand(
        "list the operations and their parameters",
        "Lists the operations of a recipe with their parameters, in shop order.",
        (
            argument("names", metavar="OPERATION", nargs="*", help="only these (default: all)"),
            flag("--schema", "print the JSON schema of each one's parameters"),
        ),
    ),
}
