"""Blocks of text and tables for a PDF, each of a height known before it is drawn."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph
from reportlab.platypus import Table as PdfTable

from holdwright.render.tones import ACCENT, FAINT, HAIRLINE, INK
from holdwright.sheet.content import TINTS, SheetFinding, SheetTable
from holdwright.sheet.fonts import PLAIN
from holdwright.sheet.pdf_text import plain_markup, text_line

GAP: Final = 4.0
"""Between blocks, mm."""
TEXT: Final = 7.8
"""Size of running text, points."""
_TALL: Final = 10_000.0


@dataclass(frozen=True)
class Block:
    """Something so many mm high, drawn with its upper left corner at x and y in mm."""

    height: float
    draw: Callable[[Canvas, float, float], None]


def paragraph(markup: str, wide: float, size: float = TEXT, colour: str = INK) -> Block:
    """Set a paragraph of reportlab's own markup."""
    return _placed(_paragraph(markup, size, colour), wide)


def beside(blocks: Sequence[Block], step: float) -> Block:
    """Put blocks beside each other, each so many mm right of the one before."""

    def draw(canvas: Canvas, x: float, top: float) -> None:
        for number, block in enumerate(blocks):
            block.draw(canvas, x + number * step, top)

    return Block(max(block.height for block in blocks), draw)


def table_block(table: SheetTable, wide: float) -> Block:
    """Set a table under its heading, with hairlines between rows."""
    blocks, cells = [], []
    if table.columns:  # the heading stands over the first of them
        cells.append([_title(table.title), *(_cell(each, faint=True) for each in table.columns)])
    else:
        blocks.append(_heading(table.title, wide))
    cells += [[_cell(each, faint=not number) for number, each in enumerate(row)] for row in table.rows]
    if table.rows:
        style = [
            ("LINEABOVE", (0, 1 if table.columns else 0), (-1, -1), 0.4, HAIRLINE),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
            *_padding(1.3),
        ]
        blocks.append(_placed(PdfTable(cells, colWidths=_widths(table, wide), style=style), wide))
    if table.common:
        blocks.append(paragraph(plain_markup(table.common), wide))
    if table.below:
        blocks.append(paragraph(plain_markup(table.below), wide, TEXT - 0.8, FAINT))
    return stacked(blocks)


def _widths(table: SheetTable, wide: float) -> list[float]:
    """Give the width of each column, points."""
    if table.shares:
        return [wide * share / sum(table.shares) * mm for share in table.shares]
    first, others = (24.0, table.across - 1) if table.across > 1 else (wide, 0)
    return [first * mm, *([(wide - first) / max(others, 1) * mm] * others)]


def list_block(title: str, items: Sequence[tuple[str, str]], wide: float, size: float = TEXT) -> Block:
    """Set titled items under a heading, numbered where they have titles."""
    rows = []
    for number, (name, text) in enumerate(items, start=1):
        body = f"<b>{plain_markup(name)}.</b> {plain_markup(text)}" if name else plain_markup(text)
        mark = f"{number}" if name else "\N{EN DASH}"
        marked = _paragraph(f"<b>{mark}</b>", size, ACCENT)
        rows.append([marked, _paragraph(body, size)])
    style = [("VALIGN", (0, 0), (-1, -1), "TOP"), *_padding(1.0)]
    table = PdfTable(rows, colWidths=[6 * mm, (wide - 6) * mm], style=style)
    return stacked([_heading(title, wide), _placed(table, wide)])


def findings_block(
    findings: Sequence[SheetFinding],
    wide: float,
    room: float,
    report: str,
    size: float = TEXT,
    *,
    title: str = "Findings",
) -> tuple[Block, int]:
    """Set as many findings as there is room for, mm; what is left out is in the report, and said so.

    Returns
    -------
    The block, and how many findings were left out.
    """
    blocks = [_heading(title, wide)]
    first = 17.0
    rows, left = [], room - blocks[0].height - 6.0
    for found in findings:
        text = f'{plain_markup(found.text)} <font color="{FAINT}">{plain_markup(found.advice)}</font>'
        row = [_paragraph(f"<b>{found.severity}</b>", size), _paragraph(text, size)]
        left -= row[1].wrap((wide - first) * mm - 7.0, _TALL)[1] / mm + 1.2
        if left < 0.0:
            break
        rows.append(row)
    if rows:
        tints = [
            ("BACKGROUND", (0, n), (0, n), TINTS[found.severity])
            for n, found in enumerate(findings[: len(rows)])
        ]
        lines = ("LINEABOVE", (0, 0), (-1, -1), 0.4, HAIRLINE)
        style = [("VALIGN", (0, 0), (-1, -1), "TOP"), lines, *tints, *_padding(1.2, 3.0)]
        blocks.append(_placed(PdfTable(rows, colWidths=[first * mm, (wide - first) * mm], style=style), wide))
    left_out = len(findings) - len(rows)
    if left_out or not findings:
        more = f"{left_out} more {'is' if left_out == 1 else 'are'} in {report}." if left_out else "None."
        blocks.append(paragraph(plain_markup(more), wide, size, FAINT))
    return stacked(blocks), left_out


def _heading(text: str, wide: float) -> Block:
    return _placed(_title(text), wide)


def _title(text: str) -> Paragraph:
    return _paragraph(f"<b>{plain_markup(text)}</b>", 9.0, ACCENT)


def _cell(text: str, *, faint: bool) -> Paragraph:
    return _paragraph(plain_markup(text), colour=FAINT if faint else INK)


def _paragraph(markup: str, size: float = TEXT, colour: str = INK) -> Paragraph:
    return text_line(markup, size, colour)


def _padding(upright: float, across: float = 0.0) -> list[tuple[Any, ...]]:
    """Give the style of all cells; the typeface too, else that of the library would be named."""
    everywhere = (0, 0), (-1, -1)
    sides = {"TOP": upright, "BOTTOM": upright + 0.6, "LEFT": across, "RIGHT": 4.0}
    paddings = [(f"{side}PADDING", *everywhere, points) for side, points in sides.items()]
    return [*paddings, ("FONTNAME", *everywhere, PLAIN)]


def _placed(flowable: Any, wide: float) -> Block:
    _, height = flowable.wrap(wide * mm, _TALL * mm)

    def draw(canvas: Canvas, x: float, top: float) -> None:
        flowable.drawOn(canvas, x * mm, top * mm - height)

    return Block(height / mm, draw)


def stacked(blocks: Sequence[Block], gap: float = 0.8) -> Block:
    """Put blocks below each other."""

    def draw(canvas: Canvas, x: float, top: float) -> None:
        for block in blocks:
            block.draw(canvas, x, top)
            top -= block.height + gap

    return Block(sum(block.height for block in blocks) + gap * (len(blocks) - 1), draw)
