"""``holdwright check``: the findings of a replay, without writing files."""

import argparse
from dataclasses import asdict

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.replaying import replaying, requested_recipe
from holdwright.cli.text_format import finding_lines, findings_heading, json_of, strict_code, wrapped
from holdwright.pipeline.replaying.joint_verdict import why_not_judged
from holdwright.pipeline.replaying.print_checks import plain_checks
from holdwright.pipeline.replaying.replay import Replay
from holdwright.printable import printable


def prepare(arguments: argparse.Namespace) -> CommandWork:
    """Prepare to print the findings."""
    recipe, _ = requested_recipe(arguments)

    def report(replayed: Replay) -> CommandResult:
        return CommandResult(_text(replayed, arguments), strict_code(arguments, replayed.findings))

    return replaying(recipe, arguments.sculpt, load_catalogue(), report, check_print=True)


def _text(replayed: Replay, arguments: argparse.Namespace) -> str:
    if arguments.json:
        findings = [{"step": step_id, **asdict(finding)} for step_id, finding in replayed.findings_by_step]
        checks = {"findings": findings, "checks": plain_checks(replayed.print)}
        return json_of(arguments, None, {**checks, "cautions": list(replayed.cautions)})
    lines = [f"{printable(arguments.sculpt.stem)}: {findings_heading(replayed.findings)}"]
    lines += [f"  {line}" for line in finding_lines(replayed.findings)]
    lines += [f"  {why_not_judged(replayed.hold)}"] if replayed.joint is None else []
    return "\n".join([*lines, "", *wrapped(*replayed.cautions)])
