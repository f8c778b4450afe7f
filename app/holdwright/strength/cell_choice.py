"""How large cells are: by what is asked for, the size of the hold, and the memory that solving takes."""

from typing import Final, Literal

from holdwright.errors import GeometryError
from holdwright.memory_limits import memory_limit
from holdwright.strength.loaded_hold import LoadedHold

CellChoice = Literal["preview", "fine"] | float

FINE: Final = 2.0
PREVIEW: Final = 1.5
"""Side of fine cells up to `SMALL`, mm; the preview's, by that of fine ones."""

SMALL: Final = 150.0
TINY: Final = 75.0
LEAST: Final = 0.4
"""Cells grow with holds larger than `SMALL`, mm, so that there are never many more; with those smaller than
`TINY` they shrink, down to this part of what they were."""

ACROSS: Final = 3.0
"""Least extent of a hold, by the side of a cell."""

INNER_BYTES: Final = 5_500
CUT_BYTES: Final = 24_000
"""Memory that solving takes at its peak, as measured: for each cell, and for each that has a stiffness of its
own, since surface, skin or core cut it."""

CUT: Final = 2.0
"""How many of these there are, by the hold's surface in faces of cells: 1.75 to 2.4 as measured."""

MOST_BYTES: Final = 1.4e9
"""Of fine cells."""

GROWTH: Final = 1.02


def cell_size(loaded: LoadedHold, cells: CellChoice) -> float:
    """Give the side of the cells asked for, mm."""
    if cells not in ("preview", "fine"):
        return float(cells)
    fine = size_alone(loaded)
    while memory_needed(loaded, fine) > MOST_BYTES:
        fine *= GROWTH
    return fine if cells == "fine" else PREVIEW * fine


def size_alone(loaded: LoadedHold) -> float:
    """Give the side of fine cells by the hold's size, however many there would be, mm."""
    size = float(loaded.whole.size.max())
    return FINE * (max(size / SMALL, 1.0) if size > TINY else max(size / TINY, LEAST))


def memory_needed(loaded: LoadedHold, cell: float) -> float:
    """Give the bytes that solving takes, about."""
    whole = loaded.whole
    return INNER_BYTES * whole.volume / cell**3 + CUT_BYTES * CUT * whole.mesh.area / cell**2


def check_cells(loaded: LoadedHold, cell: float) -> None:
    """Refuse cells that are too coarse, or would take more memory than there is.

    Raises
    ------
    GeometryError
        Saying which would do.
    """
    thinnest = float(loaded.whole.size.min())
    if thinnest < ACROSS * cell:
        raise GeometryError(
            f"Cells of {cell:.3g} mm were asked for, but the hold is only {thinnest:.3g} mm thick, and "
            f"{ACROSS:g} cells across are the least that tell of bending; ask for cells of "
            f"{thinnest / ACROSS:.2g} mm."
        )
    needed, most = memory_needed(loaded, cell), memory_limit()
    if most is not None and needed > most:
        raise GeometryError(
            f"Cells of {cell:.3g} mm were asked for, which would take about {needed / 1e9:.1f} GB of "
            f"memory; there are {most / 1e9:.1f} GB. Ask for coarser cells."
        )
