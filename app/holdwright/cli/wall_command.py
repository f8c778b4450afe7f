"""``holdwright wall``: a set on its wall, checked and drawn to scale."""

import argparse

from holdwright.cli.commands import CAUTION
from holdwright.cli.text_format import json_text
from holdwright.errors import ExportError, ParameterError
from holdwright.printable import printable
from holdwright.wall.hanging_hold import hanging_holds
from holdwright.wall.hung import hung_holds
from holdwright.wall.spread import spread
from holdwright.wall.wall_file import folder_from, load_wall
from holdwright.wall.wall_files import write_wall
from holdwright.wall.wall_findings import wall_findings


def plan(arguments: argparse.Namespace) -> int:
    """Hang the set, write the plan's files and print what deserves a look; give the exit code.

    Raises
    ------
    HoldwrightError
        When the wall, or the set, cannot be used, or the files cannot be written.
    """
    wall = load_wall(arguments.wall)
    folder = arguments.set
    if folder is None and not wall.set_folder:
        raise ParameterError(
            f"{printable(str(arguments.wall))} does not say which set hangs on it; give the set's folder "
            "after it."
        )
    folder = folder or arguments.wall.parent / wall.set_folder
    wall = wall.model_copy(update={"set_folder": folder_from(folder, arguments.out)})
    holds = hanging_holds(folder)
    left: list[str] = []
    if arguments.spread is None:
        hanging = hung_holds(wall, {name: hold for name, (hold, _) in holds.items()})
    else:
        hanging, left = spread(wall, holds, arguments.spread)
    findings = wall_findings(wall, hanging)
    try:
        report = write_wall(wall, hanging, findings, left, arguments.out)
    except OSError as error:
        raise ExportError(
            f"The plan cannot be written to {arguments.out}: {error.strerror or error}; choose another "
            "folder. Nothing was changed there."
        ) from error
    if arguments.json:
        print(json_text(report))
    else:
        lines = [f"{printable(wall.name or arguments.wall.stem)}: {len(hanging)} holds hang"]
        lines += [f"  left      {printable(name)}: no place was free for it" for name in left]
        lines += [f"  {each.severity:<9} {printable(each.message)} {each.advice}" for each in findings]
        lines += [f"  wrote     {printable(arguments.out / name)}" for name in report["files"]]
        print("\n".join([*lines, "", CAUTION]))
    return 5 if arguments.strict and any(each.severity == "error" for each in findings) else 0
