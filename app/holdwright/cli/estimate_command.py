"""``holdwright estimate``: mass, filament, time and cost of the printed parts."""

import argparse
from collections.abc import Iterator, Mapping

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.replaying import replaying, requested_recipe
from holdwright.cli.text_format import json_of, strict_code, wrapped
from holdwright.pipeline.replaying.replay import Replay
from holdwright.printable import printable
from holdwright.printing.allowances import hold_allowances, in_print_size
from holdwright.printing.part_estimates import (
    all_settings,
    part_estimates,
    plain_estimates,
    settings_in_words,
)
from holdwright.printing.print_estimate import PrintEstimate
from holdwright.printing.print_settings import PartSettings
from holdwright.ranges import Range

NOTE = (
    "Estimates from real slices, with common-practice ranges; no substitute for the printer's own figures. "
    "Time is the least sure of them."
)


def prepare(arguments: argparse.Namespace) -> CommandWork:
    """Prepare to estimate the print."""
    catalogue = load_catalogue()
    recipe, _ = requested_recipe(arguments)
    # Wrong settings are told before the replay, not after it.
    all_settings(("shell", "core"), recipe.print, catalogue)

    def report(replayed: Replay) -> CommandResult:
        hold = replayed.hold
        parts = in_print_size(hold.solids, hold_allowances(hold, recipe.print, catalogue))
        settings = all_settings(parts, recipe.print, catalogue)
        estimates = part_estimates(parts, settings)
        if arguments.json:
            text = json_of(arguments, None, {"print": plain_estimates(recipe.print, estimates), "note": NOTE})
        else:
            text = "\n".join(_lines(printable(arguments.sculpt.stem), settings, estimates))
        return CommandResult(text, strict_code(arguments, replayed.findings))

    return replaying(recipe, arguments.sculpt, catalogue, report)


def _lines(
    name: str, settings: Mapping[str, PartSettings], estimates: Mapping[str, PrintEstimate]
) -> list[str]:
    shared, *each = settings_in_words(settings)
    lines = [f"{name}: {shared}", "", *(f"  {words}" for words in each)]
    lines += ["", f"  {'':<6} {'mass g':>18} {'filament m':>18} {'time h':>18} {'filament costs':>18}"]
    for part, found in estimates.items():
        hours = Range.by(lambda seconds: seconds / 3600.0, found.time)
        values = (found.mass, found.filament, hours, found.cost)
        lines.append(f"  {part:<6} " + " ".join(f"{value.in_words:>18}" for value in values))
    lines += ["", *(f"  {words}" for words in _strengths(settings))]
    return [*lines, "", *wrapped(NOTE)]


def _strengths(settings: Mapping[str, PartSettings]) -> Iterator[str]:
    """Say what each part's material bears along its layers, as moulded, and across them."""
    for name, each in settings.items():
        along = Range.between(each.material.tensile)
        across = Range.by(lambda stress, share: stress * share, along, Range.between(each.plastic.z_share))
        low, high = each.material.tensile
        yield (
            f"{name} {each.material.name}: {low:g} to {high:g} MPa along its layers at most, "
            f"{across.low:.0f} to {across.high:.0f} across them"
        )
