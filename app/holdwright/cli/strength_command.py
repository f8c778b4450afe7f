"""``holdwright strength``: where the finished hold breaks first, and near what load."""

import argparse
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import asdict

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.replaying import requested_recipe
from holdwright.cli.text_format import finding_lines, findings_heading, json_of, strict_code, wrapped
from holdwright.files.reading import read_sculpt
from holdwright.hold.finding import Finding
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.views.strength_view import StrengthRequest, check_strength, view_strength
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.printable import printable
from holdwright.progress import Progress
from holdwright.strength.plain_strength import plain_strength
from holdwright.strength.strength_result import LIMITS, StrengthResult
from holdwright.strength.strength_texts import (
    change_groups,
    headline,
    ratio_text,
    second_sentence,
    where_sentence,
)


def prepare(arguments: argparse.Namespace) -> CommandWork:
    """Prepare to compute the strength."""
    catalogue = load_catalogue()
    recipe, _ = requested_recipe(arguments)
    # Wrong settings are told before the replay, not after it.
    check_strength(recipe, catalogue)

    def work(_: int, progress: Progress) -> CommandResult:
        sculpt = read_sculpt(arguments.sculpt, progress.part(0.0, 0.1))
        context = WorkContext(
            recipe, arguments.sculpt, lambda _part: sculpt, catalogue, Cache(), progress.part(0.1, 1.0), _drop
        )
        last = tuple(context.steps(sculpt, progress.part(0.1, 0.3)))[-1]
        request = StrengthRequest(last.id, last.key, arguments.cell, changes=not arguments.no_changes)
        view = view_strength(context, request)
        if arguments.json:
            content = {**plain_strength(view.result), "findings": [asdict(each) for each in view.findings]}
            text = json_of(arguments, None, content)
        else:
            text = "\n".join(_lines(printable(arguments.sculpt.stem), view.result, view.findings))
        return CommandResult(text, strict_code(arguments, view.findings))

    return work


def _drop(_: object) -> None:
    """Nobody waits for parts of the result."""


def _lines(name: str, result: StrengthResult, findings: Sequence[Finding]) -> Iterator[str]:
    worst = result.worst
    yield f"{name}: {'; '.join(result.printed)}"
    yield ""
    yield f"  {headline(result)}; the joint is judged for {worst.force:.0f} N."
    for sentence in (where_sentence(worst), second_sentence(result)):
        yield from textwrap.wrap(sentence, 96, initial_indent="  ", subsequent_indent="  ")
    yield ""
    yield f"  {'load':<24} {'breaks near N':>14} {'by tables N':>16} {'used':>6} {'bends mm':>9}  in"
    for case in result.cases:
        way = ", ".join(f"{each:+.1f}" for each in case.direction)
        ends = f"{case.breaks_at.low:.0f} to {case.breaks_at.high:.0f}"
        yield (
            f"  {f'({way})':<24} {case.breaks_at.likely:>14.0f} {ends:>16} {case.index:>6.0%} "
            f"{case.deflection:>9.2f}  {case.region}"
        )
    for title, found in change_groups(result.changes):
        yield ""
        yield f"  {title:<30} {'load':>8} {'bending':>9}"
        for each in found:
            ratios = f"{ratio_text(each.load):>8} {ratio_text(each.deflection):>9}"
            yield f"    {each.name:<28} {ratios}{'  today' if each.today else ''}"
            if each.refused:
                yield from textwrap.wrap(
                    each.refused, 92, initial_indent="      ", subsequent_indent="      "
                )
    yield ""
    yield f"  Findings: {findings_heading(findings)}"
    yield from (f"  {line}" for line in finding_lines(findings))
    yield ""
    for sentence in (*result.assumptions, *result.sources):
        yield from textwrap.wrap(sentence, 96, initial_indent="  ", subsequent_indent="    ")
    yield ""
    yield from wrapped(LIMITS)
