"""``holdwright replay``: a recipe on one or more sculpts, into files for the printer."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from holdwright.cli.error_output import tell
from holdwright.cli.progress_bar import bar
from holdwright.cli.replay_arguments import CAUTION, SCULPT, add_recipe, requested_recipe, time_for
from holdwright.cli.text_format import finding_lines, findings_heading, strict_code
from holdwright.errors import Cancelled, ParameterError
from holdwright.printable import printable

if TYPE_CHECKING:
    from holdwright.cli.child_supervisor import CommandWork
    from holdwright.export.job import Exported
    from holdwright.progress import Progress

FORMATS = "stl, 3mf, obj, ply"
DEFAULT_FORMATS = "stl,3mf"


class _Schema(argparse.Action):
    """Prints the report's schema and exits, whatever the other arguments."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(nargs=0, **settings)

    def __call__(self, parser: argparse.ArgumentParser, *_: Any, **__: Any) -> None:
        from holdwright.export.report import report_schema

        print(json.dumps(report_schema(), indent=2))
        parser.exit()


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "replay",
        help="replay a recipe on sculpts and write files for the printer",
        description="Replays a recipe on each sculpt and writes the parts and a report. All files of a "
        "sculpt are written, or none; if one sculpt fails, the others continue.",
        epilog=CAUTION,
    )
    add_recipe(parser)
    parser.add_argument("sculpts", metavar="SCULPT", nargs="+", type=Path, help=SCULPT)
    parser.add_argument("--out", metavar="DIR", type=Path, required=True, help="folder for the files")
    parser.add_argument(
        "--format",
        dest="formats",
        metavar="LIST",
        default=DEFAULT_FORMATS,
        help=f"formats, separated by commas: {FORMATS} (default {DEFAULT_FORMATS})",
    )
    parser.add_argument("--schema", action=_Schema, help="print the JSON schema of the report and exit")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Replay each sculpt; give the highest exit code."""
    from holdwright.cli.child_supervisor import contained
    from holdwright.export.file_names import names_for
    from holdwright.export.staging import recover_everywhere

    recover_everywhere()
    worst, finished = 0, 0
    with contained(_prepare, arguments) as child:
        for number, name in enumerate(names_for(arguments.sculpts)):
            sculpt = arguments.sculpts[number]
            try:
                with bar(name) as progress:
                    result = child.do(number, progress, time_for(sculpt, arguments.time))
            except (Cancelled, BrokenPipeError):
                raise
            except Exception as error:  # noqa: BLE001  reported, and the other sculpts continue
                worst = max(worst, tell(error, str(sculpt)))
                continue
            print("\n" * bool(finished) + result.text, flush=True)
            finished += 1
            worst = max(worst, result.code)
    if finished:
        print(f"\n{CAUTION}")
    return worst


def _prepare(arguments: argparse.Namespace) -> "CommandWork":
    from holdwright.catalogue.catalogue import load_catalogue
    from holdwright.cli.child_supervisor import CommandResult
    from holdwright.export.file_names import names_for
    from holdwright.export.formats import chosen_formats
    from holdwright.export.job import Job, export
    from holdwright.files.reading import read_sculpt
    from holdwright.pipeline.replay import replay
    from holdwright.pipeline.source_file import is_revised

    recipe, recipe_path = requested_recipe(arguments.recipe, arguments.unit, arguments.changes)
    formats = [kind.ending for kind in chosen_formats(_listed(arguments.formats))]
    catalogue = load_catalogue()
    names = names_for(arguments.sculpts)
    also_read = (recipe_path, *arguments.sculpts)

    def work(number: int, progress: "Progress") -> CommandResult:
        path, name = arguments.sculpts[number], names[number]
        sculpt = read_sculpt(path, progress.part(0.0, 0.2))
        replayed = replay(recipe, sculpt, catalogue=catalogue, progress=progress.part(0.2, 0.9))
        job = Job(name, sculpt, path, recipe, recipe_path.stem, replayed, also_read)
        exported = export(job, arguments.out, formats, progress.part(0.9, 1.0))
        lines = _summary(name, exported)
        if is_revised(recipe, recipe_path, path, sculpt.digest):
            lines.insert(
                1, f"  note      {printable(path.name)} was changed since the recipe was saved for it"
            )
        return CommandResult("\n".join(lines), strict_code(arguments, exported.report.findings))

    return work


def _listed(text: str) -> list[str]:
    """Take a list of formats apart.

    Raises
    ------
    ParameterError
        When one is named twice, or none between two commas.
    """
    names = [name.strip().lower() for name in text.split(",")]
    twice = next((name for name in names if names.count(name) > 1), "")
    if twice or ("" in names and len(names) > 1):
        met = f"{twice} twice" if twice else "nothing at a comma"
        raise ParameterError(f'"{text}" lists {met}; list each format once, separated by commas: {FORMATS}.')
    return names


def _summary(name: str, exported: "Exported") -> list[str]:
    report = exported.report
    x, y, z = report.envelope.finished.size_mm
    seconds = sum(step.seconds for step in report.steps)
    lines = [
        printable(name),
        f"  size      {x:.1f} x {y:.1f} x {z:.1f} mm, {report.envelope.finished.circle_mm:.1f} mm across",
        f"  volume    {report.whole.volume_mm3 / 1000:.1f} cm3",
    ]
    if len(report.solids) > 1:
        shares = [f"{part} {solid.volume_mm3 / 1000:.1f} cm3" for part, solid in report.solids.items()]
        lines[-1] += f": {', '.join(shares)}"
    if report.shrinkage.percent:
        shrinkage = f"{report.shrinkage.percent:g} % shrinkage"
        lines.append(f"  files     larger by a factor of {report.shrinkage.factor:.5f}, for {shrinkage}")
    lines.append(f"  findings  {findings_heading(report.findings)}")
    lines += [f"    {line}" for line in finding_lines(report.findings)]
    lines += [f"  wrote     {printable(path)}" for path, _ in exported.files]
    lines += [f"  older     {printable(path)} is from an earlier run" for path in exported.older]
    lines += [
        f"  note      {printable(path)} was left alone: it is not known to be ours"
        for path in exported.left_alone
    ]
    lines.append(f"  steps     {seconds:.2f} s")
    return lines
