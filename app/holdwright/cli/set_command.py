"""``holdwright set``: a set of holds, with shopping list, contact sheet and plates."""

import argparse
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from holdwright.cli.commands import CAUTION
from holdwright.cli.export_options import listed_formats, requested_options
from holdwright.cli.text_format import json_text
from holdwright.pipeline.recipes.set_file import HoldSet, PlannedHold, load_set
from holdwright.printable import printable
from holdwright.sets.finish_set import finish_set
from holdwright.sets.known_files import REPORT
from holdwright.sets.run_set import SECONDS, MadeHold, SetOptions


def finish(arguments: argparse.Namespace) -> int:
    """Make the set and print what became of it; give the exit code."""
    of = load_set(arguments.set)
    options = SetOptions(
        tuple(listed_formats(arguments.formats)),
        requested_options(arguments),
        arguments.jobs,
        arguments.time or SECONDS,
        arguments.cluster,
    )
    codes: list[int] = []
    with _lines(of, quiet=arguments.json) as (heard, made_one):

        def hear(made: MadeHold) -> None:
            codes.append(made.code)
            made_one(made)

        plain = finish_set(of, arguments.out, options, heard, hear)
    if arguments.json:
        print(json_text(plain))
    else:
        print(_summary(plain, arguments))
    errors = any(hold.get("findings", {}).get("error") for hold in plain["holds"])
    return max([*codes, 5 if arguments.strict and errors else 0])


@contextmanager
def _lines(of: HoldSet, *, quiet: bool) -> Iterator[Any]:
    """Print a line for each hold that is done; in a terminal, how far the others are."""
    bar = None
    if sys.stderr.isatty() and not quiet:
        from tqdm import tqdm

        layout = "{n:.1f} of {total:.0f} |{bar:24}| {elapsed} {desc}"
        bar = tqdm(total=float(len(of.holds)), bar_format=layout, leave=False, file=sys.stderr)
    shares: dict[str, float] = {}

    def heard(hold: PlannedHold, fraction: float, text: str) -> None:
        shares[hold.name] = fraction
        if bar is not None:
            bar.n = sum(shares.values())
            bar.set_description_str(f"{printable(hold.name)}: {text}")

    def made_one(made: MadeHold) -> None:
        shares[made.hold.name] = 1.0
        if quiet:
            return
        line = f"{printable(made.hold.name)}: {made.status}"
        line += f" in {made.seconds:.1f} s" if made.status == "finished" else ""
        line += f". {printable(made.message)}" if made.message else ""
        if bar is None:
            print(line, flush=True)
        else:
            bar.write(line)

    try:
        yield heard, made_one
    finally:
        if bar is not None:
            bar.close()


def _summary(plain: dict[str, Any], arguments: argparse.Namespace) -> str:
    totals, plates = plain["totals"], plain["plates"]
    statuses = ", ".join(f"{number} {status}" for status, number in sorted(plain["statuses"].items()))
    mass, hours = totals["mass_g"], {end: seconds / 3600 for end, seconds in totals["time_s"].items()}
    lines = [
        "",
        f"{printable(plain['set'])}: {statuses}",
        f"  holds     {totals['copies']}, {mass['low'] / 1000:.2f} to {mass['high'] / 1000:.2f} kg, "
        f"{hours['low']:.1f} to {hours['high']:.1f} h of printing",
        *(f"  buy       {_item(item)}" for item in plain["shopping"]),
        *(f"  plate     {_plate(plate)}" for plate in plates),
        *(
            f"  note      {printable(hold['name'])}: {hold['on_no_plate']}"
            for hold in plain["holds"]
            if hold.get("on_no_plate")
        ),
        *(f"  wrote     {printable(arguments.out / each['name'])}" for each in plain["files"]),
        f"  wrote     {printable(arguments.out / REPORT)}",
        "",
        CAUTION,
    ]
    return "\n".join(lines)


def _item(item: dict[str, Any]) -> str:
    of = " filament" if item["kind"] == "filament" else ""
    return f"{item['quantity']:g} {item['unit']}: {item['item']}{of}"


def _plate(plate: dict[str, Any]) -> str:
    holds = len(plate["holds"])
    laid = f"{holds} hold{'s' * (holds != 1)}, {plate['covered']:.0%} covered"
    return f"{plate['file']}: {laid}, {plate['printer']}"
