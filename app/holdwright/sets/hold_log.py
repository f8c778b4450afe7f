"""The log of a hold: what its maker wrote down, in a CSV file beside its files, and what is due.

A copy of a hold has a name of its own in the log, such as its number; blank for the only one.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import astuple, dataclass, fields
from datetime import date, timedelta
from pathlib import Path
from typing import Final, Literal, get_args

from holdwright.errors import InputError
from holdwright.export.file_names import REPORT_ENDING
from holdwright.pipeline.atomic_write import write_whole

Event = Literal["printed", "sanded", "mounted", "tightened", "inspected", "observed", "taken down", "retired"]
EVENTS: Final[tuple[Event, ...]] = get_args(Event)

AFTER_MOUNTING: Final = (("tighten again", 1), ("tighten again", 7))
"""What is due so many days after a hold was mounted (common practice, no source)."""

INSPECTED_EVERY: Final = 30
"""Days from one inspection to the next, where nothing else is asked for (common practice, no source)."""

_SEEN: Final = ("inspected", "tightened", "mounted")


@dataclass(frozen=True)
class LogEntry:
    """A line of the log."""

    on: date
    event: Event
    copy: str = ""
    """Which copy of the hold; blank for the only one."""
    where: str = ""
    """On which wall, at which T-nut."""
    torque: float | None = None
    """N m, of what was mounted or tightened."""
    note: str = ""
    """The maker's own words."""


@dataclass(frozen=True)
class DueEntry:
    """Something to be done to a hold that hangs."""

    on: date
    what: str
    hold: str
    copy: str
    where: str


def log_file(folder: Path) -> Path:
    """Give the log of the hold whose files are in a folder.

    Raises
    ------
    InputError
        When there is no hold, or more than one.
    """
    reports = sorted(folder.glob(f"*.{REPORT_ENDING}")) if folder.is_dir() else []
    if len(reports) != 1 or reports[0].name == f"set.{REPORT_ENDING}":
        found = f"{len(reports)} holds" if len(reports) > 1 else "no hold"
        raise InputError(
            f"A log belongs to one hold, but {folder} has {found}; give the folder of one hold's files."
        )
    return folder / f"{reports[0].name.removesuffix(f'.{REPORT_ENDING}')}.log.csv"


def logs_below(folder: Path) -> list[Path]:
    """Find all logs in a folder and below it, by name."""
    return sorted(folder.rglob("*.log.csv")) if folder.is_dir() else []


def hold_of(log: Path) -> str:
    """Give the name of the hold whose log it is."""
    return log.name.removesuffix(".log.csv")


def read_log(path: Path) -> list[LogEntry]:
    """Read a log, in the order written; empty where there is none.

    Raises
    ------
    InputError
        Naming the line that is no entry.
    """
    try:
        text = path.read_text("utf-8-sig")
    except FileNotFoundError:
        return []
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"The log {path} cannot be read ({error}); mend it, or move it away.") from None
    entries = []
    for number, row in enumerate(csv.DictReader(io.StringIO(text)), start=2):
        try:
            entries.append(_entry(row))
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            raise InputError(f"Line {number} of {path} is no entry ({error}); mend it.") from None
    return entries


def add_entry(path: Path, entry: LogEntry) -> None:
    """Write one more entry; the file is whole at any time.

    Raises
    ------
    InputError
        When the log there is no log.
    OSError
        When it cannot be written.
    """
    write_whole(path, log_text([*read_log(path), entry]).encode())


def log_text(entries: Iterable[LogEntry]) -> str:
    """Write entries as CSV (RFC 4180)."""
    stream = io.StringIO()
    writer = csv.writer(stream)
    writer.writerow([field.name for field in fields(LogEntry)])
    for entry in entries:
        on, *others = astuple(entry)
        writer.writerow([on.isoformat(), *("" if each is None else each for each in others)])
    return stream.getvalue()


def due(hold: str, entries: Sequence[LogEntry], every: int = INSPECTED_EVERY) -> Iterator[DueEntry]:
    """Give what is to be done to each copy that hangs, by what was written down last.

    Parameters
    ----------
    every
        Days from one inspection to the next.
    """
    for copy in dict.fromkeys(entry.copy for entry in entries):
        own = sorted((entry for entry in entries if entry.copy == copy), key=lambda entry: entry.on)
        mounted = max((place for place, entry in enumerate(own) if entry.event == "mounted"), default=None)
        if mounted is None or any(entry.event in ("taken down", "retired") for entry in own[mounted:]):
            continue
        since = own[mounted:]
        where = next((entry.where for entry in reversed(since) if entry.where), "")
        last = max(entry.on for entry in since if entry.event in _SEEN)
        tightened = sum(entry.event in ("tightened", "inspected") for entry in since)
        for what, days in AFTER_MOUNTING[tightened : tightened + 1]:
            yield DueEntry(since[0].on + timedelta(days=days), what, hold, copy, where)
        yield DueEntry(last + timedelta(days=every), "inspect", hold, copy, where)


def _entry(row: dict[str, str]) -> LogEntry:
    event = next((each for each in EVENTS if each == row["event"]), None)
    if event is None:
        raise ValueError(f'"{row["event"]}" is none of {", ".join(EVENTS)}')
    torque = float(row["torque"]) if row["torque"] else None
    return LogEntry(date.fromisoformat(row["on"]), event, row["copy"], row["where"], torque, row["note"])
