"""``holdwright check``: the findings of a replay, without writing files."""

import argparse
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from holdwright.cli.one_sculpt import add_arguments, json_of, replaying
from holdwright.cli.replay_arguments import CAUTION
from holdwright.cli.text_format import finding_lines, findings_heading, strict_code
from holdwright.printable import printable

if TYPE_CHECKING:
    from holdwright.cli.child_supervisor import CommandResult, CommandWork
    from holdwright.pipeline.recipe import Recipe
    from holdwright.pipeline.replay import Replay


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "check",
        help="print the findings, without writing files",
        description="Replays a recipe on a sculpt and prints only the findings.",
        epilog=CAUTION,
    )
    add_arguments(parser, _prepare)


def _prepare(arguments: argparse.Namespace) -> "CommandWork":
    from holdwright.catalogue.catalogue import load_catalogue
    from holdwright.cli.child_supervisor import CommandResult

    def report(_: "Recipe", recipe_path: Path, replayed: "Replay") -> "CommandResult":
        text = _text(replayed, recipe_path, arguments)
        return CommandResult(text, strict_code(arguments, replayed.findings))

    return replaying(arguments, load_catalogue(), report)


def _text(replayed: "Replay", recipe_path: Path, arguments: argparse.Namespace) -> str:
    if arguments.json:
        findings = [{"step": step_id, **asdict(finding)} for step_id, finding in replayed.findings_by_step]
        return json_of(arguments, recipe_path, None, {"findings": findings})
    lines = [f"  {line}" for line in finding_lines(replayed.findings)]
    return "\n".join([f"{printable(arguments.sculpt.stem)}: {findings_heading(replayed.findings)}", *lines])
