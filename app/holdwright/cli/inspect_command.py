"""``holdwright inspect``: what a sculpt's file holds, and whether it bounds a solid."""

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.inspection import Inspection, inspect, plain
from holdwright.cli.text_format import count, json_text
from holdwright.errors import InputError, shortened
from holdwright.hold.piece_account import PieceAccount
from holdwright.printable import printable
from holdwright.progress import Progress

_HEAD: Final = ("name", "triangles", "size", "volume", "grade", "deviation", "left out as")
_FIGURES: Final = (1, 3, 5)
"""Columns of figures."""


def prepare(arguments: argparse.Namespace) -> CommandWork:
    """Prepare to inspect one file."""

    def work(_: int, progress: Progress) -> CommandResult:
        inspection = inspect(arguments.sculpt, progress)
        if arguments.json:
            text = json_text(plain(inspection))
        else:
            text = "\n".join(_lines(arguments.sculpt, inspection))
        return CommandResult(text, InputError.exit_code if inspection.verdict == "refused" else 0)

    return work


def _lines(path: Path, inspection: Inspection) -> list[str]:
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


def _row(piece: PieceAccount) -> tuple[str, ...]:
    return (
        piece.name,
        str(piece.triangles),
        " x ".join(f"{extent:.4g}" for extent in piece.size),
        "-" if piece.volume is None else f"{piece.volume:.6g}",
        piece.grade,
        "-" if piece.deviation is None else f"{piece.deviation:.2g}",
        piece.role,
    )


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    """Line cells up in columns: figures to the right, words to the left."""
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    return ["  " + "  ".join(_cells(row, widths)).rstrip() for row in rows]


def _cells(row: tuple[str, ...], widths: Sequence[int]) -> Iterator[str]:
    for place, (cell, width) in enumerate(zip(row, widths, strict=True)):
        yield cell.rjust(width) if place in _FIGURES else cell.ljust(width)
