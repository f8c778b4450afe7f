"""Runs a command: the work on sculpts in a child process, what comes of it printed here."""

import argparse
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from holdwright.cli.child_supervisor import contained
from holdwright.cli.commands import CAUTION
from holdwright.cli.error_output import print_error
from holdwright.cli.text_format import json_of, json_text
from holdwright.errors import Cancelled, sentence_of
from holdwright.printable import printable
from holdwright.progress import SILENT, Progress

SECONDS: Final = 600.0
SECONDS_PER_MIB: Final = 5.0
"""What a sculpt may take: many times what the largest does on a slow machine, to hit only what hangs."""

NOTHING: Final[dict[str, object]] = {
    "format": "",
    "verdict": "refused",
    "reasons": [],
    "unit": None,
    "unit_guess": None,
    "unit_reason": None,
    "pieces": [],
    "solid": None,
}
"""What JSON tells where an inspection failed: as much as nothing, but in its usual form."""


def run(arguments: argparse.Namespace) -> int:
    """Run the command that was parsed and give its exit code."""
    match arguments.command:
        case "operations":
            from holdwright.cli.operations_command import print_reference

            return print_reference(arguments)
        case "replay":
            return _on_each(arguments)
        case "set" | "watch":
            return _on_many(arguments)
        case "log":
            from holdwright.cli.log_command import log

            return log(arguments)
        case "wall":
            from holdwright.cli.wall_command import plan

            return plan(arguments)
        case _:
            return _on_one(arguments)


def _on_many(arguments: argparse.Namespace) -> int:
    """Have many holds made, each in a child."""
    from holdwright.export.staging import recover_everywhere

    recover_everywhere()
    if arguments.command == "set":
        from holdwright.cli.set_command import finish

        return finish(arguments)
    from holdwright.cli.watch_command import watch

    return watch(arguments)


def _on_each(arguments: argparse.Namespace) -> int:
    """Work on each sculpt; give the highest exit code."""
    from holdwright.export.file_names import names_for
    from holdwright.export.staging import recover_everywhere

    recover_everywhere()
    worst, finished = 0, 0
    with contained(arguments.command, arguments) as child:
        for number, name in enumerate(names_for(arguments.sculpts)):
            sculpt = arguments.sculpts[number]
            try:
                with _bar(name) as progress:
                    result = child.do(number, progress, _time_for(sculpt, arguments.time))
            except (Cancelled, BrokenPipeError):
                raise
            except Exception as error:  # noqa: BLE001  reported, and the other sculpts continue
                worst = max(worst, print_error(error, str(sculpt)))
                continue
            print("\n" * bool(finished) + result.text, flush=True)
            finished += 1
            worst = max(worst, result.code)
    if finished:
        print(f"\n{CAUTION}")
    return worst


def _on_one(arguments: argparse.Namespace) -> int:
    """Print what the work on one sculpt gives; with ``--json`` an error too."""
    sculpt, inspecting = arguments.sculpt, arguments.command == "inspect"
    title = sculpt.name if inspecting else sculpt.stem
    try:
        with contained(arguments.command, arguments) as child, _bar(title) as progress:
            result = child.do(0, progress, _seconds_for(arguments))
    except (Cancelled, BrokenPipeError):
        raise
    except Exception as error:  # noqa: BLE001  reported, as text or JSON
        if arguments.json:
            reason = sentence_of(error)[0]
            refused = {**NOTHING, "reasons": [reason]} if inspecting else {"findings": []}
            print(json_text(refused) if inspecting else json_of(arguments, reason, refused))
        return print_error(error, sculpt.name if inspecting else "")
    print(result.text)
    return result.code


def _seconds_for(arguments: argparse.Namespace) -> float:
    """Give the seconds that a command may take on its sculpt, and on the one it is compared with."""
    sculpts = [arguments.sculpt, *([arguments.old] if arguments.command == "compare" else [])]
    return arguments.time or sum(_time_for(each, None) for each in sculpts)


def _time_for(sculpt: Path, requested: float | None) -> float:
    """Give the seconds that the work on a sculpt may take: as requested, or by the size of its file."""
    if requested is not None:
        return requested
    try:
        return SECONDS + SECONDS_PER_MIB * sculpt.stat().st_size / 2**20
    except (OSError, ValueError):
        return SECONDS


@contextmanager
def _bar(title: str) -> Iterator[Progress]:
    """Show a bar on the error stream while the block runs, if a terminal is there to show it."""
    if not sys.stderr.isatty():
        yield SILENT
        return
    from tqdm import tqdm

    title = printable(title)
    layout = "{percentage:3.0f}% |{bar:24}| {elapsed} {desc}"
    with tqdm(total=1.0, desc=title, bar_format=layout, leave=False, file=sys.stderr) as line:

        def listen(fraction: float, text: str) -> None:
            line.set_description_str(f"{title}: {text}", refresh=False)
            line.update(max(fraction - line.n, 0.0))

        yield Progress(listen)
