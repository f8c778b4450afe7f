"""Screws put together from the rows of several tables, and rows held against their threads."""

from collections.abc import Sequence

from holdwright.catalogue.fasteners import (
    ClearanceHole,
    Head,
    Screw,
    ScrewLengths,
    ScrewRow,
    Thread,
    Washer,
)
from holdwright.errors import CatalogueError


def assembled_screw(
    row: ScrewRow,
    threads: dict[str, Thread],
    holes: Sequence[ClearanceHole],
    lengths: Sequence[ScrewLengths],
) -> Screw:
    """Put a screw's row together with its thread, clearance holes and lengths.

    Raises
    ------
    CatalogueError
        When they are missing or do not fit together.
    """
    thread = thread_of(row.thread, threads, f"Screw '{row.name}'")
    own = tuple(hole for hole in holes if hole.thread == row.thread)
    if sorted(hole.fit for hole in own) != ["coarse", "fine", "medium"]:
        raise CatalogueError(
            f"Screw '{row.name}': the tables of clearance holes must have one fine, one medium and one "
            f"coarse row for {row.thread}, but have {', '.join(hole.fit for hole in own) or 'none'}."
        )
    if min(hole.diameter for hole in own) < thread.diameter or row.head_diameter <= thread.diameter:
        raise CatalogueError(
            f"Screw '{row.name}': its clearance hole or its head is narrower than its thread, "
            f"{thread.diameter:g} mm; sizes are in mm."
        )
    bearing = row.bearing_diameter or row.head_diameter
    return Screw(
        name=row.name,
        standard=row.standard,
        thread=row.thread,
        d=thread.diameter,
        pitch=thread.pitch,
        profile=thread.profile,
        stress_area=thread.stress_area,
        head=Head(
            row.head, row.head_diameter, row.head_height, row.head_angle, bearing, row.tool_diameter or 0.0
        ),
        key=row.key,
        clearance_holes=own,
        lengths=_lengths_of(row, lengths),
        loadability=row.loadability,
        source=row.source,
        tag=row.tag,
    )


def thread_of(name: str, threads: dict[str, Thread], whose: str) -> Thread:
    """Look up the thread of a row.

    Raises
    ------
    CatalogueError
        When there is none of that name.
    """
    if name not in threads:
        raise CatalogueError(f"{whose}, field 'thread': no row '{name}' in the tables of threads.")
    return threads[name]


def check_washer(row: Washer, threads: dict[str, Thread]) -> None:
    """Refuse a washer that does not go over its thread, as one written in inches would not.

    Raises
    ------
    CatalogueError
        Naming row and field.
    """
    thread = thread_of(row.thread, threads, f"Washer '{row.name}'")
    if row.hole < thread.diameter:
        raise CatalogueError(
            f"Washer '{row.name}', field 'hole': {row.hole:g} does not go over its thread of "
            f"{thread.diameter:g} mm; sizes are in mm."
        )


def _lengths_of(row: ScrewRow, tables: Sequence[ScrewLengths]) -> tuple[float, ...]:
    own = [table for table in tables if (table.standard, table.thread) == (row.standard, row.thread)]
    lengths = sorted({length for table in own for length in table.lengths})
    if not lengths:
        raise CatalogueError(
            f"Screw '{row.name}': the tables of screw lengths have no row for {row.standard} {row.thread}."
        )
    return tuple(lengths)
