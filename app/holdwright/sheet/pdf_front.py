"""How drawing and tables share the first page of a PDF."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from holdwright.sheet.content import SheetContent, SheetTable, TableRows, paired
from holdwright.sheet.pdf_blocks import GAP, Block, beside, stacked, table_block
from holdwright.sheet.view_places import ViewPlaces

LEAST_DRAWING: Final = 80.0
"""Height of the drawing's block that tables leave to it, mm."""
LEAST_CORNER: Final = 80.0
"""Width of a corner that a table is set in, mm."""


@dataclass(frozen=True)
class FrontBlocks:
    """What stands on the first page under its head."""

    room: float
    """Height of the drawing's block, mm."""
    places: ViewPlaces
    """Of the views in it."""
    corner: Block | None
    """Tables in the corner that the views leave."""
    tables: tuple[Block, ...]
    further: tuple[Block, ...]
    """tables, further: below the drawing, and those for which the page has no room."""


def front_blocks(content: SheetContent, wide: float, high: float) -> FrontBlocks:
    """Share so much paper (mm) so that the drawing comes out largest."""
    tried = [_tried(content, corner, rows, wide, high) for corner, rows in _ways(content)]
    return max((each for each in tried if each), key=lambda each: each.places.scale)


def _ways(content: SheetContent) -> Iterator[tuple[tuple[SheetTable, ...], TableRows]]:
    """Give ways to share tables between the corner and the rows below the drawing, the best first."""
    settings, hardware, size, holes = content.settings, content.hardware, content.size, content.holes
    yield tuple(each for each in (holes, size) if each.rows), paired(settings, hardware)
    yield (holes,) if holes.rows else (), paired(settings, size, hardware)
    yield (), content.tables


def _tried(
    content: SheetContent, corner: Sequence[SheetTable], rows: TableRows, wide: float, high: float
) -> FrontBlocks | None:
    """Share the page one way; None where the corner has no room for its tables."""
    blocks = tuple(_row(row, wide) for row in rows)
    fits = next(
        count
        for count in range(len(blocks), -1, -1)
        if not count or high - _height(blocks[:count]) >= LEAST_DRAWING
    )
    room = high - _height(blocks[:fits]) - GAP
    places = ViewPlaces.of(content.drawing.size, wide, room, LEAST_CORNER if corner else 0.0)
    block = None
    if corner and places.corner:
        block = stacked([table_block(each, places.corner.width) for each in corner], GAP)
        if block.height > places.corner.height:
            return None
    return FrontBlocks(room, places, block, blocks[:fits], blocks[fits:])


def _row(tables: Sequence[SheetTable], wide: float) -> Block:
    if len(tables) == 1:
        return table_block(tables[0], wide)
    half = (wide - 2 * GAP) / 2
    return beside([table_block(each, half) for each in tables], half + 2 * GAP)


def _height(blocks: Sequence[Block]) -> float:
    return sum(block.height + GAP for block in blocks)
