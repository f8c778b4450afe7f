"""A work sheet as PDF."""

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from PIL import Image as PixelImage
from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from holdwright.render.tones import ACCENT, FAINT, HAIRLINE
from holdwright.sheet.choice import PAPERS, Paper
from holdwright.sheet.content import DOT, SheetContent
from holdwright.sheet.fonts import BOLD, PLAIN, load_fonts, writable
from holdwright.sheet.marks import CAP, Area, Image, Line, Mark, Words
from holdwright.sheet.pdf_blocks import GAP, Block, findings_block, list_block, paragraph
from holdwright.sheet.pdf_front import FrontBlocks, front_blocks
from holdwright.sheet.pdf_text import plain_markup

MARGIN: Final = 14.0
FOOT: Final = 3.0
"""MARGIN, FOOT: round the page, and over its foot, mm."""
SIZES: Final = (9.0, 8.2, 7.4)
"""Of the second page's text, points: the largest at which all findings have room."""
LEAST_NAME: Final = 0.5
"""Share of its size that a long name keeps."""


@dataclass
class _Page:
    """What stands on a page, and down to where it is filled, mm from the top of the sheet."""

    at: float
    blocks: list[tuple[float, float, Block]] = field(default_factory=list)

    def add(self, block: Block, x: float = MARGIN) -> None:
        self.blocks.append((x, self.at, block))
        self.at += block.height + GAP


def pdf_of(content: SheetContent, paper: Paper = "a4") -> bytes:
    """Lay a sheet out on two pages and give the PDF file's bytes."""
    load_fonts()
    width, height = PAPERS[paper]
    stream = io.BytesIO()
    rl_config.useA85 = 0  # else pictures would be written as text, which takes longer than drawing them
    canvas = Canvas(stream, pagesize=(width * mm, height * mm), invariant=1, initialFontName=PLAIN)
    canvas.setTitle(f"{content.name}: work sheet")
    canvas.setAuthor("")
    canvas.setSubject(", ".join(content.facts))
    canvas.setCreator(content.made[-1])
    pages = _laid_out(content, width - 2 * MARGIN, height)
    for number, page in enumerate(pages, start=1):
        for x, top, block in page.blocks:
            block.draw(canvas, x, height - top)
        draw_foot(canvas, content.made, width, f"page {number} of {len(pages)}")
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _laid_out(content: SheetContent, wide: float, height: float) -> list[_Page]:
    """Put drawing and figures on one page, what to do and to know on the other."""
    first, lowest = _Page(MARGIN), height - MARGIN - FOOT
    first.add(head_block(content.name, "Work sheet", content.facts, wide))
    front = front_blocks(content, wide, lowest - first.at)
    first.add(_drawing(content, front))
    for table in front.tables:
        first.add(table)
    for size in SIZES:
        page, left_out = _second(content, front.further, wide, lowest, size)
        if not left_out:
            break
    return [first, page]


def _second(
    content: SheetContent, tables: Sequence[Block], wide: float, lowest: float, size: float
) -> tuple[_Page, int]:
    """Fill the second page, and say how many findings had no room."""
    page = _Page(MARGIN)
    page.add(_name(content.name, wide, 11.0))
    cautions = list_block("Please read", [("", each) for each in content.cautions], wide, size)
    for block in (*tables, list_block("Order of work", content.work, wide, size)):
        page.add(block)
    if content.strength:
        page.add(list_block("Strength", content.strength, wide, size))
    room = lowest - page.at - cautions.height - GAP
    findings, left_out = findings_block(content.findings, wide, room, content.report, size)
    page.add(findings)
    page.add(cautions)
    return page, left_out


def _name(name: str, wide: float, size: float) -> Block:
    """Set a name in one line where that leaves it large enough, else in several."""
    length = stringWidth(writable(name), BOLD, size) / mm
    return paragraph(
        f"<b>{plain_markup(name)}</b>", wide, size * min(1.0, max(wide / (length + 0.1), LEAST_NAME))
    )


def head_block(title: str, kind: str, facts_of: Sequence[str], wide: float) -> Block:
    """Name, kind of sheet, facts and a rule in the accent."""
    name = _name(title, wide, 19.0)
    facts = paragraph(plain_markup(DOT.join((kind, *facts_of))), wide, size=9.0, colour=FAINT)
    height = name.height + facts.height + 2.6

    def draw(canvas: Canvas, x: float, top: float) -> None:
        name.draw(canvas, x, top)
        facts.draw(canvas, x, top - name.height)
        canvas.setStrokeColor(ACCENT)
        canvas.setLineWidth(0.5 * mm)
        canvas.line(x * mm, (top - height) * mm, (x + wide) * mm, (top - height) * mm)

    return Block(height, draw)


def _drawing(content: SheetContent, front: FrontBlocks) -> Block:
    """Draw the views, and set tables in the corner that they leave."""
    places = front.places
    marks = content.drawing.marks(places)
    spare = max(front.room - places.height, 0.0) / 2

    def draw(canvas: Canvas, x: float, top: float) -> None:
        canvas.saveState()
        canvas.translate(x * mm, (top - places.height - spare) * mm)
        for mark in marks:
            draw_mark(canvas, mark)
        canvas.restoreState()
        if front.corner and places.corner:
            low = top - spare - places.height + places.back[1]
            front.corner.draw(canvas, x + places.corner.x, low + places.back_high)

    return Block(front.room, draw)


def draw_mark(canvas: Canvas, mark: Mark) -> None:
    """Draw a mark; the canvas has its origin at the drawing's lower left corner."""
    match mark:
        case Line():
            canvas.setStrokeColor(mark.colour)
            canvas.setLineWidth(mark.width * mm)
            canvas.setDash(*(([4 * mm, mm, 0.6 * mm, mm], 0) if mark.dashed else ([], 0)))
            canvas.line(*(each * mm for each in mark.ends))
        case Area():
            path = canvas.beginPath()
            path.moveTo(*(each * mm for each in mark.corners[0]))
            for corner in mark.corners[1:]:
                path.lineTo(*(each * mm for each in corner))
            canvas.setFillColor(mark.colour)
            canvas.drawPath(path, stroke=0, fill=1)
        case Words():
            canvas.saveState()
            canvas.translate(mark.x * mm, mark.y * mm)
            canvas.rotate(90 * mark.upward)
            canvas.setFillColor(mark.colour)
            canvas.setFont(BOLD if mark.bold else PLAIN, mark.size / CAP * mm)
            write: dict[str, Callable[..., Any]] = {
                "start": canvas.drawString,
                "middle": canvas.drawCentredString,
                "end": canvas.drawRightString,
            }
            write[mark.anchor](0, 0, writable(mark.text))
            canvas.restoreState()
        case Image():
            corner = mark.x * mm, mark.y * mm
            picture = ImageReader(PixelImage.fromarray(mark.pixels))
            canvas.drawImage(picture, *corner, mark.width * mm, mark.height * mm)


def draw_foot(canvas: Canvas, made: Sequence[str], width: float, page: str) -> None:
    """Write what a page was made from, and its number, at its foot; it is so many mm wide."""
    canvas.setStrokeColor(HAIRLINE)
    canvas.setLineWidth(0.2 * mm)
    canvas.line(MARGIN * mm, (MARGIN - 2) * mm, (width - MARGIN) * mm, (MARGIN - 2) * mm)
    canvas.setFillColor(FAINT)
    right = (width - MARGIN) * mm
    size, text = 7.0, writable(DOT.join(made))
    while canvas.stringWidth(text, PLAIN, size) > right - MARGIN * mm - 22 * mm and size > 3:
        size -= 0.5
    canvas.setFont(PLAIN, size)
    canvas.drawString(MARGIN * mm, (MARGIN - 6) * mm, text)
    canvas.setFont(PLAIN, 7.0)
    canvas.drawRightString(right, (MARGIN - 6) * mm, page)
