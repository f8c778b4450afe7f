"""The typeface of sheets, which ships with the program, and what it can write."""

from functools import cache
from pathlib import Path
from typing import Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from holdwright.resources import resource_folder

PLAIN: Final = "DejaVuSansCondensed"
BOLD: Final = "DejaVuSansCondensed-Bold"


def font_file(name: str = PLAIN) -> Path:
    """Give the file of a font."""
    return resource_folder() / "fonts" / f"{name}.ttf"


@cache
def load_fonts() -> None:
    """Make both fonts known to what writes PDF."""
    for name in (PLAIN, BOLD):
        pdfmetrics.registerFont(TTFont(name, font_file(name)))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


def writable(text: str) -> str:
    r"""Write what the font has no letters for as escapes, as `printable` does with what cannot be shown."""
    load_fonts()
    glyphs = pdfmetrics.getFont(PLAIN).face.charToGlyph
    return "".join(each if ord(each) in glyphs else ascii(each)[1:-1] for each in text)
