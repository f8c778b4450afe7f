"""A PDF of as many pages as its content takes, with date, program and page number at each page's foot."""

import io
from collections.abc import Sequence
from datetime import date
from typing import Final

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, SimpleDocTemplate

from holdwright import __version__
from holdwright.render.tones import FAINT, HAIRLINE
from holdwright.sheet.content import DOT
from holdwright.sheet.fonts import PLAIN, load_fonts, writable

MARGIN: Final = 14.0
FOOT: Final = 4.0
"""MARGIN, FOOT: round the page, and for its foot beneath the content, mm."""
_FRAME: Final = 6.0
"""What the library's frame keeps free within a margin, points."""


def flowing_pdf(
    story: Sequence[Flowable], title: str, paper: tuple[float, float], margin: float = MARGIN
) -> bytes:
    """Set a story on pages of some width and height within a margin, all mm, and give the file's bytes."""
    load_fonts()
    stream = io.BytesIO()
    side = margin * mm - _FRAME
    document = SimpleDocTemplate(
        stream,
        pagesize=(paper[0] * mm, paper[1] * mm),
        leftMargin=side,
        rightMargin=side,
        topMargin=side,
        bottomMargin=side + FOOT * mm,
        title=title,
        creator=f"Holdwright {__version__}",
        invariant=1,
    )

    def foot(canvas: Canvas, page: SimpleDocTemplate) -> None:
        left, right = margin * mm, (paper[0] - margin) * mm
        canvas.setStrokeColor(HAIRLINE)
        canvas.line(left, (margin + 1) * mm, right, (margin + 1) * mm)
        canvas.setFillColor(FAINT)
        canvas.setFont(PLAIN, 7.0)
        made = f"{date.today().isoformat()}{DOT}Holdwright {__version__}"
        canvas.drawString(left, (margin - 3) * mm, writable(made))
        canvas.drawRightString(right, (margin - 3) * mm, f"page {page.page}")

    document.build(list(story), onFirstPage=foot, onLaterPages=foot)
    return stream.getvalue()
