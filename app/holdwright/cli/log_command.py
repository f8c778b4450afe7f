"""``holdwright log``: what was done to a hold, and what is due."""

import argparse
from dataclasses import asdict
from datetime import date
from pathlib import Path

from holdwright.cli.commands import CAUTION
from holdwright.cli.text_format import json_text
from holdwright.errors import ExportError
from holdwright.pipeline.canonical_json import plain
from holdwright.printable import printable
from holdwright.sets.hold_log import LogEntry, add_entry, due, hold_of, log_file, logs_below, read_log


def log(arguments: argparse.Namespace) -> int:
    """Write an entry where one is given; else print the log, or what is due below the folder.

    Raises
    ------
    InputError
        When the folder has no hold, or a log in it cannot be read.
    ExportError
        When the log cannot be written.
    """
    folder: Path = arguments.folder
    if arguments.event:
        path = log_file(folder)
        entry = LogEntry(
            arguments.on or date.today(),
            arguments.event,
            arguments.copy,
            arguments.where,
            arguments.torque,
            arguments.note,
        )
        try:
            add_entry(path, entry)
        except OSError as error:
            raise ExportError(f"The log cannot be written to {path}: {error.strerror or error}.") from None
        print(f"wrote {printable(path)}")
        return 0
    logs = {path: read_log(path) for path in logs_below(folder)}
    today = arguments.on or date.today()
    coming = sorted(
        (each for path, entries in logs.items() for each in due(hold_of(path), entries, arguments.every)),
        key=lambda each: (each.on, each.hold, each.copy),
    )
    if arguments.json:
        told = {hold_of(path): [asdict(entry) for entry in entries] for path, entries in logs.items()}
        listed = [{**asdict(each), "overdue": each.on <= today} for each in coming]
        print(json_text(plain({"holds": told, "due": listed})))
        return 0
    lines = []
    for path, entries in logs.items():
        lines.append(printable(hold_of(path)))
        for entry in entries:
            torque = f"{entry.torque:g} N m" if entry.torque is not None else ""
            said = (entry.event, entry.copy, entry.where, torque, entry.note)
            lines.append(f"  {entry.on}  {printable(', '.join(each for each in said if each))}")
    lines.append("\nDue" if coming else "Nothing is due: no hold was written down as mounted.")
    for each in coming:
        late = "overdue" if each.on <= today else ""
        words = (each.what, " ".join(filter(None, (each.hold, each.copy))), each.where, late)
        lines.append(f"  {each.on}  {printable(', '.join(word for word in words if word))}")
    print("\n".join([*lines, "", CAUTION]))
    return 0
