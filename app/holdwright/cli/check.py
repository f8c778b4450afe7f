"""``holdwright check``: what deserves a look, without writing files."""

import argparse
import json
from dataclasses import asdict
from pathlib import Path

from holdwright.cli.asked import CAUTION, SCULPT, add_recipe, asked_recipe
from holdwright.cli.bar import bar
from holdwright.cli.replay import STRICT
from holdwright.cli.wording import any_error, finding_lines, findings_heading


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
    from holdwright.catalogue.catalogue import load_catalogue
    from holdwright.files.reading import read_sculpt
    from holdwright.pipeline.replay import replay

    recipe, recipe_path = asked_recipe(arguments.recipe, arguments.unit, arguments.changes)
    with bar(arguments.sculpt.stem) as progress:
        sculpt = read_sculpt(arguments.sculpt, progress.part(0.0, 0.2))
        replayed = replay(recipe, sculpt, catalogue=load_catalogue(), progress=progress.part(0.2, 1.0))
    findings = replayed.findings
    if arguments.json:
        told = [{"step": step_id, **asdict(finding)} for step_id, finding in replayed.findings_by_step]
        print(
            json.dumps(
                {"sculpt": arguments.sculpt.name, "recipe": recipe_path.stem, "findings": told}, indent=2
            )
        )
    else:
        print(f"{arguments.sculpt.stem}: {findings_heading(findings)}")
        print("".join(f"  {line}\n" for line in finding_lines(findings)), end="")
    return STRICT if arguments.strict and any_error(findings) else 0
