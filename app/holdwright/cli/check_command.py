"""``holdwright check``: the findings of a replay, without writing files."""

import argparse
from dataclasses import asdict

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.replaying import replaying
from holdwright.cli.text_format import finding_lines, findings_heading, json_of, strict_code
from holdwright.pipeline.recipe import Recipe
from holdwright.pipeline.replay import Replay
from holdwright.printable import printable


def prepare(arguments: argparse.Namespace) -> CommandWork:
    """Prepare to print the findings."""

    def report(_: Recipe, replayed: Replay) -> CommandResult:
        return CommandResult(_text(replayed, arguments), strict_code(arguments, replayed.findings))

    return replaying(arguments, load_catalogue(), report)


def _text(replayed: Replay, arguments: argparse.Namespace) -> str:
    if arguments.json:
        findings = [{"step": step_id, **asdict(finding)} for step_id, finding in replayed.findings_by_step]
        return json_of(arguments, None, {"findings": findings})
    lines = [f"  {line}" for line in finding_lines(replayed.findings)]
    return "\n".join([f"{printable(arguments.sculpt.stem)}: {findings_heading(replayed.findings)}", *lines])
