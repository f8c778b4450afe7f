"""Outlines of letters, from the font that ships with the program."""

from functools import cache
from typing import Any, Final

import numpy as np

from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.printable import printable
from holdwright.resources import resource_folder

FONT: Final = "DejaVuSansCondensed-Bold.ttf"
"""Bold, so that strokes are wide; condensed, so that a name fits."""

_CHORDS: Final = 6
"""Straight pieces of each curve: within 0.02 mm of it for letters 10 mm high."""


def letters(line: str) -> list[Floats]:
    """Draw a line of text.

    Parameters
    ----------
    line
        Letters the font has. It starts at x = 0 on y = 0 and runs along x.

    Returns
    -------
    list
        Closed outlines (n, 2), capitals 1 high, inner ones the other way round; they may overlap.

    Raises
    ------
    ParameterError
        Where the font lacks a letter.
    """
    names, glyphs, capital = _font()
    missing = sorted({letter for letter in line if ord(letter) not in names})
    if missing:
        raise ParameterError(
            f"Engraving \u201c{printable(line)}\u201d was requested, but the font has no "
            f"{', '.join(f'{printable(each)!r}' for each in missing)}; write it with other letters."
        )
    found: list[Floats] = []
    along = 0.0
    for letter in line:
        glyph = glyphs[names[ord(letter)]]
        pen = _outline_pen(glyphs)
        glyph.draw(pen)
        found += [np.add(each, (along, 0.0)) / capital for each in pen.outlines if len(each) > 2]
        along += glyph.width
    return found


@cache
def _font() -> tuple[dict[int, str], Any, float]:
    """Read the font: names by character, glyphs by name, and the height of a capital."""
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.ttLib import TTFont

    font = TTFont(resource_folder() / "fonts" / FONT, lazy=True)
    glyphs = font.getGlyphSet()
    bounds = BoundsPen(glyphs)
    glyphs["H"].draw(bounds)
    return font.getBestCmap(), glyphs, float(bounds.bounds[3])


def _outline_pen(glyphs: Any) -> Any:
    """Make a pen that gathers outlines as points."""
    from fontTools.pens.basePen import BasePen

    class OutlinePen(BasePen):  # type: ignore[misc]  # fontTools ships no types
        def __init__(self) -> None:
            super().__init__(glyphs)
            self.outlines: list[list[tuple[float, float]]] = []

        def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: N802  its own names
            self.outlines.append([pt])

        def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
            if pt != self.outlines[-1][0]:
                self.outlines[-1].append(pt)

        def _qCurveToOne(self, pt1: tuple[float, float], pt2: tuple[float, float]) -> None:  # noqa: N802
            start = np.array(self._getCurrentPoint())
            share = np.arange(1, _CHORDS + 1)[:, None] / _CHORDS
            curve = (
                (1 - share) ** 2 * start + 2 * share * (1 - share) * np.array(pt1) + share**2 * np.array(pt2)
            )
            for x, y in curve.tolist():
                self._lineTo((x, y))

    return OutlinePen()
