"""Journals of exports under way, in the user's own state folder: only they say what a killed program left."""

import json
import os
import re
import sys
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Final, Literal

from holdwright.pipeline.atomic_write import remove_broken_off, write_whole
from holdwright.resources import state_folder

PREFIX: Final = ".holdwright-"
"""Names of stages begin with it."""

Stamp = list[int] | None
"""Size and time of change (ns) of a file, or of a link itself; None where there is none."""


@dataclass(frozen=True)
class Journal:
    """How far the export of one stage has come."""

    folder: str
    """The files' folder, absolute and without links."""
    token: str
    """Names the stage."""
    state: Literal["begun", "writing", "moving", "restoring", "done"] = "begun"
    """It is "begun" until the stage exists, "writing" until all new files are on the disk, "moving" while
    they take their places, "restoring" while the old files do, "done" when only the stage is left."""
    files: dict[str, list[Stamp]] = field(default_factory=dict)
    """By name: stamps of the new file and of the one it replaces."""
    identity: list[int] = field(default_factory=list)
    """Owner, mode and inode of the stage as it was made; no other user can make a folder that has them."""

    @property
    def stage(self) -> Path:
        """The hidden folder beside the files' places."""
        return Path(self.folder) / f"{PREFIX}{self.token}"

    def written(self) -> "Journal":
        """Put the journal on the disk, whole; nowhere where there is no state folder to write to."""
        folder = _journal_folder()
        if folder is not None:
            write_whole(folder / f"{self.token}.json", json.dumps(asdict(self)).encode("ascii"))
            sync_folder(folder)
        return self

    def remove(self) -> None:
        """Forget the stage."""
        folder = _journal_folder()
        if folder is not None:
            (folder / f"{self.token}.json").unlink(missing_ok=True)


def journals() -> list[Journal]:
    """Read the journals in the state folder; those that are damaged are removed."""
    folder, found = _journal_folder(), []
    if folder is None:
        return []
    remove_broken_off(folder)
    for file in sorted(folder.glob("*.json")):
        with suppress(OSError):
            journal = _read(file)
            if journal is None:
                file.unlink()
            else:
                found.append(journal)
    return found


def _read(file: Path) -> Journal | None:
    try:
        journal = Journal(**json.loads(file.read_text("ascii")))
        return journal if journal.token == file.stem and _is_valid(journal) else None
    except (ValueError, TypeError, AttributeError, RecursionError):
        return None


def _is_valid(journal: Journal) -> bool:
    names = all(name == Path(name).name and name not in ("", "..") for name in journal.files)
    pairs = all(len(pair) == 2 for pair in journal.files.values())
    known = journal.state in ("begun", "writing", "moving", "restoring", "done")
    return names and pairs and known and bool(re.fullmatch("[0-9a-f]{32}", journal.token))


def _journal_folder() -> Path | None:
    """Give the folder of journals, made for this user alone; None where none can be written to."""
    state = state_folder()
    if state is None:
        return None
    folder = state / "exports"
    try:
        folder.mkdir(0o700, parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None


def sync_folder(folder: Path) -> None:
    """Wait until a folder's entries are on the disk, where the system can tell."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
