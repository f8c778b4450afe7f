"""All tables together."""

import difflib
import os
import re
from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import lru_cache
from pathlib import Path
from typing import Any, Final, TypeVar

from holdwright.catalogue.anchorage import (
    Friction,
    LoadCase,
    NutFactor,
    Panel,
    StrengthClass,
    TNut,
    WoodScrew,
)
from holdwright.catalogue.fasteners import (
    ClearanceHole,
    Screw,
    ScrewLengths,
    ScrewRow,
    Thread,
    Washer,
    assembled_screw,
    check_washer,
    thread_of,
)
from holdwright.catalogue.machines import Machine
from holdwright.catalogue.materials import Creep, Material, MaterialRow, PrintedStrength, PrintSetting
from holdwright.catalogue.tables import NamedRow, merged, read_own, read_rows
from holdwright.errors import CatalogueError
from holdwright.resources import resource_folder

N = TypeVar("N", bound=NamedRow)

OWN_TABLES: Final = "HOLDWRIGHT_TABLES"
"""Environment variable that names the user's own tables: a TOML file or a folder of them."""

TABLES: Final[dict[str, tuple[str, type[Any]]]] = {
    "threads": ("thread", Thread),
    "clearance_holes": ("clearance_hole", ClearanceHole),
    "screws": ("screw", ScrewRow),
    "screw_lengths": ("screw_length", ScrewLengths),
    "washers": ("washer", Washer),
    "strengths": ("strength", StrengthClass),
    "nut_factors": ("nut_factor", NutFactor),
    "frictions": ("friction", Friction),
    "load_cases": ("load_case", LoadCase),
    "wood_screws": ("wood_screw", WoodScrew),
    "t_nuts": ("t_nut", TNut),
    "panels": ("panel", Panel),
    "materials": ("material", MaterialRow),
    "creep": ("creep", Creep),
    "print_settings": ("print_setting", PrintSetting),
    "printed_strengths": ("printed_strength", PrintedStrength),
    "machines": ("machine", Machine),
}
"""Folder of each table: name of its rows in the files, and their class."""


@dataclass(frozen=True)
class Catalogue:
    """The tables an operation may look things up in. Rows are in table order."""

    screws: tuple[Screw, ...] = ()
    washers: tuple[Washer, ...] = ()
    threads: tuple[Thread, ...] = ()
    strengths: tuple[StrengthClass, ...] = ()
    nut_factors: tuple[NutFactor, ...] = ()
    frictions: tuple[Friction, ...] = ()
    load_cases: tuple[LoadCase, ...] = ()
    wood_screws: tuple[WoodScrew, ...] = ()
    t_nuts: tuple[TNut, ...] = ()
    panels: tuple[Panel, ...] = ()
    materials: tuple[Material, ...] = ()
    machines: tuple[Machine, ...] = ()

    def screw(self, name: str) -> Screw:
        """Look a screw up by its name, such as "M10 socket cap ISO 4762".

        Part of the name in any order and case will do where it fits one row alone: "iso 4762 m10".

        Raises
        ------
        CatalogueError
            When no row has the name, or several fit it; the sentence gives the nearest names.
        """
        return look_up(self.screws, name, "screw")

    def washer(self, name: str) -> Washer:
        """Look a washer up by its name, such as "M10 large washer ISO 7093", as `screw` does."""
        return look_up(self.washers, name, "washer")

    def washer_with(self, screw: Screw, washer: Washer | None) -> Washer | None:
        """Give the washer to go with another screw: one that fits stays, else one of its standard."""
        if washer is None or screw.head.angle is not None:
            return None
        fitting = [row for row in self.washers if row.thread == screw.thread]
        alike = [row for row in fitting if row.standard == washer.standard]
        return washer if washer in fitting else next(iter([*alike, *fitting]), None)

    def thread(self, name: str) -> Thread:
        """Look a thread up by its name, such as "3/8-16".

        Raises
        ------
        CatalogueError
            When there is none of that name.
        """
        return thread_of(name, {thread.name: thread for thread in self.threads}, "A row")

    def names(self, table: str) -> tuple[str, ...]:
        """Give the names in one table, such as "screws" or "washers", in table order.

        Raises
        ------
        CatalogueError
            When there is no such table.
        """
        tables = {field.name: getattr(self, field.name) for field in fields(self)}
        if table not in tables:
            raise CatalogueError(f"The catalogue has no table '{table}'; it has {', '.join(tables)}.")
        return tuple(row.name for row in tables[table])


def load_catalogue(folder: Path | None = None, own: Path | None = None) -> Catalogue:
    """Read all tables, once in the life of the process for each folder.

    Parameters
    ----------
    folder
        Holds one folder for each table; the resources that ship with Holdwright when left out.
    own
        The user's own tables, a TOML file or a folder of them, whose rows are put on top of those that ship;
        what the environment variable `HOLDWRIGHT_TABLES` names when left out, if it is set.

    Raises
    ------
    CatalogueError
        Naming file, row and field of the first thing that is wrong.
    """
    named = os.environ.get(OWN_TABLES, "")
    try:
        own = (own or Path(named).expanduser()).resolve() if own or named else None
    except (RuntimeError, OSError) as error:  # no such user, or links that lead round
        reason = str(error).rstrip(".")
        raise CatalogueError(f"{OWN_TABLES} names {named}, which leads nowhere: {reason}.") from None
    return _load((folder or resource_folder()).resolve(), own)


@lru_cache(maxsize=8)
def _load(folder: Path, own: Path | None) -> Catalogue:
    rows: dict[str, tuple[Any, ...]] = {
        table: read_rows(folder / table, key, kind) for table, (key, kind) in TABLES.items()
    }
    for table, shipped in rows.items():
        _once(shipped, table)
    if own is not None:
        added = read_own(own, dict(TABLES.values()))
        for table, (key, _) in TABLES.items():
            rows[table] = merged(rows[table], added.get(key, ()), _identity)
    threads = {row.name: row for row in rows["threads"]}
    screws = [
        assembled_screw(row, threads, rows["clearance_holes"], rows["screw_lengths"])
        for row in rows["screws"]
    ]
    for washer in rows["washers"]:
        check_washer(washer, threads)
    for nut in rows["t_nuts"]:
        thread_of(nut.thread, threads, f"T-nut '{nut.name}'")
    creep = {row.material: row for row in rows["creep"]}
    settings = {row.material: row for row in rows["print_settings"]}
    strengths = {row.material: row for row in rows["printed_strengths"]}
    rows["screws"] = tuple(screws)
    rows["materials"] = tuple(
        Material(
            **vars(row),
            creep=creep.get(row.name),
            print_setting=settings.get(row.name),
            printed_strength=strengths.get(row.name),
        )
        for row in rows["materials"]
    )
    return Catalogue(**{field.name: rows[field.name] for field in fields(Catalogue)})


def _identity(row: Any) -> tuple[str, ...]:
    return (row.thread, row.fit) if isinstance(row, ClearanceHole) else (row.name,)


def _once(rows: Sequence[Any], table: str) -> None:
    seen = set()
    for row in rows:
        # Of clearance holes the assembling tells, and names the screw that wants them.
        if not isinstance(row, ClearanceHole) and _identity(row) in seen:
            raise CatalogueError(f"The tables of {table} have more than one row '{row.name}'; keep one.")
        seen.add(_identity(row))


def look_up(rows: Sequence[N], name: str, what: str) -> N:
    """Look a row up by its name, or by part of it, in any order and case, where that fits one row alone.

    Parameters
    ----------
    what
        Says what a row is, in the error's sentence.

    Raises
    ------
    CatalogueError
        When no row has the name, or several fit it; the sentence gives the nearest names.
    """
    requested = _words(name)
    fitting = (
        [row for row in rows if row.name == name]
        or [row for row in rows if requested and requested == _words(row.name)]
        or [row for row in rows if requested and requested <= _words(row.name)]
    )
    if len(fitting) == 1:
        return fitting[0]
    names = [row.name for row in fitting] or _nearest(name, [row.name for row in rows])
    found = "several rows fit it" if fitting else "there is no such row"
    listed = ", ".join(f"'{found}'" for found in names[:4])
    advice = f"try {listed}" if listed else "the table is empty"
    raise CatalogueError(f"The {what} '{name}' was requested, but {found}; {advice}.")


def _words(name: str) -> set[str]:
    """Letters and numbers of a name apart, so that "iso7093 m10" has the words of "M10 ... ISO 7093"."""
    return set(re.findall(r"[a-z]+|\d+", name.casefold()))


def _nearest(name: str, names: Sequence[str]) -> list[str]:
    requested = _words(name)
    shared = sorted(names, key=lambda other: (-len(requested & _words(other)), names.index(other)))
    close = difflib.get_close_matches(name, names, n=4, cutoff=0.5)
    return list(dict.fromkeys([*shared[:2], *close, *shared[2:4]]))[:4]
