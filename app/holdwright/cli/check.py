"""``holdwright check``: what deserves a look, without writing files."""

import argparse
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from holdwright.cli.progress_bar import bar
from holdwright.cli.refusal import refusals_in_json
from holdwright.cli.replay import STRICT
from holdwright.cli.replay_arguments import CAUTION, SCULPT, add_recipe, asked_recipe, time_for
from holdwright.cli.text_format import any_error, finding_lines, findings_heading, json_text

if TYPE_CHECKING:
    from holdwright.cli.child_supervisor import CommandWork
    from holdwright.pipeline.replay import Replay
    from holdwright.progress import Progress


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "check",
        help="what deserves a look, without writing files",
        description="Does a recipe's steps on a sculpt and prints the findings alone.",
        epilog=CAUTION,
    )
    add_recipe(parser)
    parser.add_argument("sculpt", metavar="SCULPT", type=Path, help=SCULPT)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Replay the sculpt and print the findings."""
    from holdwright.cli.child_supervisor import contained

    with (
        refusals_in_json(arguments),
        contained(_prepare, arguments) as child,
        bar(arguments.sculpt.stem) as progress,
    ):
        told = child.do(0, progress, time_for(arguments.sculpt, arguments.time))
    print(told.text)
    return told.code


def _prepare(arguments: argparse.Namespace) -> "CommandWork":
    from holdwright.catalogue.catalogue import load_catalogue
    from holdwright.cli.child_supervisor import CommandResult
    from holdwright.files.reading import read_sculpt
    from holdwright.pipeline.replay import replay

    recipe, recipe_path = asked_recipe(arguments.recipe, arguments.unit, arguments.changes)
    catalogue = load_catalogue()

    def work(_: int, progress: "Progress") -> CommandResult:
        sculpt = read_sculpt(arguments.sculpt, progress.part(0.0, 0.2))
        replayed = replay(recipe, sculpt, catalogue=catalogue, progress=progress.part(0.2, 1.0))
        code = STRICT if arguments.strict and any_error(replayed.findings) else 0
        return CommandResult(_text(replayed, recipe_path, arguments), code)

    return work


def _text(replayed: "Replay", recipe_path: Path, arguments: argparse.Namespace) -> str:
    if arguments.json:
        findings = [{"step": step_id, **asdict(finding)} for step_id, finding in replayed.findings_by_step]
        told = {"sculpt": arguments.sculpt.name, "recipe": recipe_path.stem, "refused": None}
        return json_text({**told, "findings": findings})
    lines = [f"  {line}" for line in finding_lines(replayed.findings)]
    return "\n".join([f"{arguments.sculpt.stem}: {findings_heading(replayed.findings)}", *lines])
