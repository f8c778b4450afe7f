"""The page of a comparison as a file: PDF, or static HTML with its pictures inside."""

import io
from html import escape
from typing import Final

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from holdwright.sheet.choice import PAPERS, Paper
from holdwright.sheet.comparison_content import ComparisonContent
from holdwright.sheet.content import DOT, SheetFinding
from holdwright.sheet.fonts import PLAIN, load_fonts
from holdwright.sheet.html import WIDE, beside_of, findings_of, page_of, section_of, svg_of
from holdwright.sheet.pdf import FOOT, MARGIN, draw_foot, draw_mark, head_block
from holdwright.sheet.pdf_blocks import GAP, Block, beside, findings_block, list_block, table_block

KIND: Final = "Comparison"
_LOST: Final = 24.0
"""Room that findings lost are left at least, mm."""
_LEFT_OUT: Final = "what the command prints"


def comparison_html(content: ComparisonContent) -> bytes:
    """Give the page as HTML in UTF-8."""
    marks, height = content.drawing.marks(WIDE)
    cautions = (f"<li>{escape(each)}" for each in content.cautions)
    body = [
        f"<h1>{escape(content.name)}</h1>",
        f'<p class="facts">{escape(DOT.join((KIND, *content.facts)))}</p>',
        svg_of(marks, WIDE, height),
        beside_of(content.figures),
        *(section_of(title, *findings_of(found)) for title, found in _found(content)),
        section_of("Please read", "<ul>", *cautions, "</ul>"),
        f"<footer>{escape(DOT.join(content.made))}</footer>",
    ]
    return page_of(f"{content.name}: comparison", body)


def comparison_pdf(content: ComparisonContent, paper: Paper = "a4") -> bytes:
    """Give the page as PDF; findings that have no room on it are counted."""
    load_fonts()
    width, height = PAPERS[paper]
    wide = width - 2 * MARGIN
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(width * mm, height * mm), invariant=1, initialFontName=PLAIN)
    canvas.setTitle(f"{content.name}: comparison")
    canvas.setAuthor("")
    canvas.setCreator(content.made[-1])
    top = height - MARGIN
    for block in _blocks(content, wide, height - 2 * MARGIN - FOOT):
        block.draw(canvas, MARGIN, top)
        top -= block.height + GAP
    draw_foot(canvas, content.made, width, "page 1 of 1")
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _found(content: ComparisonContent) -> tuple[tuple[str, tuple[SheetFinding, ...]], ...]:
    return ("Findings gained", content.gained), ("Findings lost", content.lost)


def _blocks(content: ComparisonContent, wide: float, room: float) -> list[Block]:
    """Set everything but the foot, as many findings as there is room for."""
    blocks = [
        head_block(content.name, KIND, content.facts, wide),
        _drawing(content, wide),
        beside([table_block(each, (wide - GAP) / 2.0) for each in content.figures], (wide + GAP) / 2.0),
    ]
    cautions = list_block("Please read", [("", each) for each in content.cautions], wide)
    left = room - sum(block.height + GAP for block in (*blocks, cautions))
    for kept, (title, found) in zip((_LOST, 0.0), _found(content), strict=True):
        block, _ = findings_block(found, wide, max(left - kept, 0.0), _LEFT_OUT, title=title)
        left -= block.height + GAP
        blocks.append(block)
    return [*blocks, cautions]


def _drawing(content: ComparisonContent, wide: float) -> Block:
    marks, height = content.drawing.marks(wide)

    def draw(canvas: Canvas, x: float, top: float) -> None:
        canvas.saveState()
        canvas.translate(x * mm, (top - height) * mm)
        for mark in marks:
            draw_mark(canvas, mark)
        canvas.restoreState()

    return Block(height, draw)
