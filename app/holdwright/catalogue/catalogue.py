"""All tables together."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Protocol, TypeVar

from holdwright.catalogue.fasteners import ClearanceHole, Head, Screw, ScrewRow, Thread, Washer
from holdwright.catalogue.tables import read_rows
from holdwright.errors import CatalogueError
from holdwright.resources import resource_folder


class Named(Protocol):
    """Anything a table lists by name."""

    @property
    def name(self) -> str:
        """Name of the row."""


N = TypeVar("N", bound=Named)


@dataclass(frozen=True)
class Catalogue:
    """The tables an operation may look things up in. Rows are in table order."""

    screws: tuple[Screw, ...] = ()
    washers: tuple[Washer, ...] = ()

    def screw(self, name: str) -> Screw:
        """Look a screw up by its name, such as "M10 socket cap ISO 4762".

        Part of the name in any order and case will do where it fits one row alone: "iso 4762 m10".

        Raises
        ------
        CatalogueError
            When no row has the name, or several fit it; the sentence gives the nearest names.
        """
        return _look_up(self.screws, name, "screw")

    def washer(self, name: str) -> Washer:
        """Look a washer up by its name, such as "M10 large washer ISO 7093"; as free as `screw`.

        Raises
        ------
        CatalogueError
            When no row has the name, or several fit it; the sentence gives the nearest names.
        """
        return _look_up(self.washers, name, "washer")

    def names(self, table: str) -> tuple[str, ...]:
        """Give the names in one table, "screws" or "washers", in table order.

        Raises
        ------
        CatalogueError
            When there is no such table.
        """
        tables: dict[str, Sequence[Named]] = {"screws": self.screws, "washers": self.washers}
        if table not in tables:
            raise CatalogueError(f"The catalogue has no table '{table}'; it has {', '.join(tables)}.")
        return tuple(row.name for row in tables[table])


def load_catalogue(folder: Path | None = None) -> Catalogue:
    """Read all tables, once in the life of the process for each folder.

    Parameters
    ----------
    folder
        Holds one folder for each table; the resources that ship with Holdwright when left out.

    Raises
    ------
    CatalogueError
        Naming file, row and field of the first thing that is wrong.
    """
    return _load((folder or resource_folder()).resolve())


@lru_cache(maxsize=8)
def _load(folder: Path) -> Catalogue:
    threads = {row.name: row for row in read_rows(folder / "threads", "thread", Thread)}
    holes = read_rows(folder / "clearance_holes", "clearance_hole", ClearanceHole)
    rows = read_rows(folder / "screws", "screw", ScrewRow)
    washers = read_rows(folder / "washers", "washer", Washer)
    _once(rows, "screws")
    _once(washers, "washers")
    return Catalogue(tuple(_assembled(row, threads, holes) for row in rows), washers)


def _assembled(row: ScrewRow, threads: dict[str, Thread], holes: Sequence[ClearanceHole]) -> Screw:
    """Put a screw's row together with its thread and clearance holes."""
    if row.thread not in threads:
        raise CatalogueError(
            f"Screw '{row.name}', field 'thread': no row '{row.thread}' in the tables of threads."
        )
    thread = threads[row.thread]
    own = tuple(hole for hole in holes if hole.thread == row.thread)
    if sorted(hole.fit for hole in own) != ["coarse", "fine", "medium"]:
        raise CatalogueError(
            f"Screw '{row.name}': the tables of clearance holes must have one fine, one medium and one "
            f"coarse row for {row.thread}, but have {', '.join(hole.fit for hole in own) or 'none'}."
        )
    if min(hole.diameter for hole in own) < thread.diameter or row.head_diameter <= thread.diameter:
        raise CatalogueError(
            f"Screw '{row.name}': its clearance hole or its head is narrower than its thread."
        )
    head = Head(row.head, row.head_diameter, row.head_height)
    return Screw(
        name=row.name,
        standard=row.standard,
        thread=row.thread,
        d=thread.diameter,
        pitch=thread.pitch,
        head=head,
        key=row.key,
        clearance_holes=own,
        source=row.source,
        tag=row.tag,
    )


def _once(rows: Sequence[Named], table: str) -> None:
    names = [row.name for row in rows]
    for name in names:
        if names.count(name) > 1:
            raise CatalogueError(f"The tables of {table} have more than one row '{name}'; keep one.")


def _look_up(rows: Sequence[N], name: str, what: str) -> N:
    asked = _words(name)
    fitting = [row for row in rows if row.name == name] or [
        row for row in rows if asked and asked <= _words(row.name)
    ]
    if len(fitting) == 1:
        return fitting[0]
    names = [row.name for row in fitting] or _nearest(name, [row.name for row in rows])
    met = "several rows fit it" if fitting else "there is no such row"
    listed = ", ".join(f"'{found}'" for found in names[:4])
    advice = f"try {listed}" if listed else "the table is empty"
    raise CatalogueError(f"The {what} '{name}' was asked for, but {met}; {advice}.")


def _words(name: str) -> set[str]:
    """Letters and numbers of a name apart, so that "iso7093 m10" has the words of "M10 ... ISO 7093"."""
    return set(re.findall(r"[a-z]+|\d+", name.casefold()))


def _nearest(name: str, names: Sequence[str]) -> list[str]:
    asked = _words(name)
    shared = sorted(names, key=lambda other: (-len(asked & _words(other)), names.index(other)))
    close = difflib.get_close_matches(name, names, n=4, cutoff=0.5)
    return list(dict.fromkeys([*shared[:2], *close, *shared[2:4]]))[:4]
