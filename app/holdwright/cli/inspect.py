"""``holdwright inspect``: what a sculpt's file holds, and whether it bounds a solid."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from holdwright.cli.error_output import sentence_of, tell
from holdwright.cli.progress_bar import bar
from holdwright.cli.replay_arguments import SCULPT, add_time, time_for
from holdwright.cli.text_format import count, json_text
from holdwright.errors import Cancelled, InputError, shortened
from holdwright.printable import printable

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from holdwright.cli.child_supervisor import CommandWork
    from holdwright.cli.inspection import Inspection
    from holdwright.hold.piece_account import PieceAccount
    from holdwright.progress import Progress

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
"""What JSON tells where the work on a file failed: as much as nothing, but in its usual form."""

_HEAD: Final = ("name", "triangles", "size", "volume", "grade", "deviation", "left out as")
_FIGURES: Final = (1, 3, 5)
"""Columns of figures."""


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "inspect",
        help="show what a sculpt file contains, and whether it makes a solid",
        description="Reads a file, splits it into pieces, fuses them and reports what it found. All figures "
        "are in file units. Exits with 3 if no solid can be made.",
    )
    parser.add_argument("file", metavar="FILE", type=Path, help=SCULPT)
    parser.add_argument("--json", action="store_true", help="print JSON")
    add_time(parser)
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Inspect the file and print the report."""
    from holdwright.cli.child_supervisor import contained

    try:
        with contained(_prepare, arguments) as child, bar(arguments.file.name) as progress:
            result = child.do(0, progress, time_for(arguments.file, arguments.time))
    except (Cancelled, BrokenPipeError):
        raise
    except Exception as error:  # noqa: BLE001  reported, as text or JSON
        if arguments.json:
            print(json_text({**NOTHING, "reasons": [sentence_of(error)[0]]}))
        return tell(error, arguments.file.name)
    print(result.text)
    return result.code


def _prepare(arguments: argparse.Namespace) -> "CommandWork":
    from holdwright.cli.child_supervisor import CommandResult
    from holdwright.cli.inspection import inspect, plain

    def work(_: int, progress: "Progress") -> CommandResult:
        inspection = inspect(arguments.file, progress)
        if arguments.json:
            text = json_text(plain(inspection))
        else:
            text = "\n".join(_lines(arguments.file, inspection))
        return CommandResult(text, InputError.exit_code if inspection.verdict == "refused" else 0)

    return work


def _lines(path: Path, inspection: "Inspection") -> list[str]:
    lines = [f"{shortened(printable(path.name))}: {inspection.verdict}"]
    if inspection.format:
        lines[0] += f" ({inspection.format})"
    lines += [f"  {reason}" for reason in inspection.reasons]
    if inspection.unit:
        lines.append(f"  unit: {inspection.unit}, as the file says ({inspection.unit_reason})")
    elif inspection.unit_guess:
        lines.append(f"  unit: likely {inspection.unit_guess} ({inspection.unit_reason})")
    if inspection.pieces:
        lines += ["", f"  {count(len(inspection.pieces), 'piece')}, figures in file units:"]
        lines += _table([_HEAD, *(_row(piece) for piece in inspection.pieces)])
    if inspection.solid is not None:
        state = "closed" if inspection.solid["closed"] else "not closed"
        lines += [
            "",
            f"  solid: {state}, volume {inspection.solid['volume']:.6g}, "
            f"{count(inspection.solid['triangles'], 'triangle')}",
        ]
    return lines


def _row(piece: "PieceAccount") -> tuple[str, ...]:
    return (
        piece.name,
        str(piece.triangles),
        " x ".join(f"{extent:.4g}" for extent in piece.size),
        "-" if piece.volume is None else f"{piece.volume:.6g}",
        piece.grade,
        "-" if piece.deviation is None else f"{piece.deviation:.2g}",
        piece.role,
    )


def _table(rows: "Sequence[tuple[str, ...]]") -> list[str]:
    """Line cells up in columns: figures to the right, words to the left."""
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    return ["  " + "  ".join(_cells(row, widths)).rstrip() for row in rows]


def _cells(row: tuple[str, ...], widths: "Sequence[int]") -> "Iterator[str]":
    for place, (cell, width) in enumerate(zip(row, widths, strict=True)):
        yield cell.rjust(width) if place in _FIGURES else cell.ljust(width)
