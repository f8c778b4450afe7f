"""Text for a PDF: what the sheets' typeface can write, as paragraphs of the library that sets it."""

from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from holdwright.render.tones import ACCENT, INK
from holdwright.sheet.fonts import PLAIN, writable


def text_line(markup: str, size: float, colour: str = INK, before: float = 0.0) -> Paragraph:
    """Set a paragraph of reportlab's own markup; size, and room before it, in points."""
    style = ParagraphStyle(
        "text",
        fontName=PLAIN,
        bulletFontName=PLAIN,
        fontSize=size,
        leading=size * 1.28,
        textColor=colour,
        spaceBefore=before,
        splitLongWords=1,
    )
    return Paragraph(markup, style)


def heading_line(text: str, before: float = 8.0) -> Paragraph:
    """Set a heading within a page."""
    return text_line(f"<b>{plain_markup(text)}</b>", 10.0, ACCENT, before)


def plain_markup(text: str) -> str:
    """Write plain text as markup."""
    return escape(writable(text))
