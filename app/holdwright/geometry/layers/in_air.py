"""What of a print's layers has nothing below it: islands, bridges, and ledges that hang free."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite

import numpy as np
from manifold3d import CrossSection, JoinType

from holdwright.geometry.arrays import Floats
from holdwright.geometry.layers.layer_stack import STRETCH, Slices, polygons
from holdwright.geometry.measure.bridge import edges_of, free_edges, widest_bridge
from holdwright.geometry.measure.sections import Outlines
from holdwright.progress import SILENT, Progress

LEAST = 0.01
"""Specks of less than this are not told of, mm2."""

SOON = 2
"""What is joined to the rest within so many layers is no island: it hangs a little. Our choice."""

_MITRE = 2.0


@dataclass(frozen=True, eq=False)
class InAir:
    """A part of a layer with nothing below it."""

    layer: int
    """Number of the layer, from 0."""
    middle: float
    """Height of the layer's middle, mm."""
    outlines: Outlines
    """Of it, reaching as far onto what holds it as a line may lean out."""
    area: float
    """mm2."""
    place: Floats
    """(2,) where it is widest."""
    held: bool
    """Whether it is joined to what lies on the layer below: otherwise it is an island."""
    span: float
    """What is to be bridged, mm; infinite where it hangs free."""

    @property
    def bridges(self) -> bool:
        """Whether it is held on both sides, so that lines can span it."""
        return self.held and isfinite(self.span)


def in_air(layers: Slices, lean: float, width: float, progress: Progress = SILENT) -> Iterator[InAir]:
    """Find what starts in the air, layer by layer from the bed up.

    Parameters
    ----------
    lean
        How far a layer may reach beyond the one below, mm.
    width
        Of a line, mm: what is narrower and held at a side is left out.
    """
    middles, sections = layers
    for number, (below, section) in enumerate(pairwise(sections), start=1):
        if number % STRETCH == 0:
            progress.report(number / len(sections), "looking for what is printed in the air")
        rest = section - below.offset(lean, JoinType.Miter, _MITRE)
        if rest.area() > LEAST:
            for part in _parts(rest, section, number, float(middles[number]), lean, width):
                if part.held or not _joined_soon(part, below, sections[number + 1 : number + 1 + SOON]):
                    yield part


def _joined_soon(island: InAir, below: CrossSection, above: Sequence[CrossSection]) -> bool:
    """Tell whether an island is joined by one of the next layers to what stands on the layer below it."""
    start = CrossSection(island.outlines)
    for section in above:
        grown = (piece for piece in section.decompose() if not (piece ^ start).is_empty())
        if any(not (piece ^ below).is_empty() for piece in grown):
            return True
    return False


def _parts(
    rest: CrossSection, section: CrossSection, number: int, middle: float, lean: float, width: float
) -> Iterator[InAir]:
    outlines = polygons(section)
    for part in rest.decompose():
        area = part.area()
        if area <= LEAST:
            continue
        edges = polygons(part)
        start, end = edges_of(edges)
        held = not free_edges(start, end, outlines).all()
        if held and part.offset(-width / 2.0, JoinType.Miter, _MITRE).is_empty():
            continue
        span, place = widest_bridge(edges, outlines) if held else (np.inf, start.mean(axis=0))
        reaching = part.offset(2.0 * lean, JoinType.Miter, _MITRE) ^ section
        yield InAir(number, middle, polygons(reaching), area, place, held, span)
