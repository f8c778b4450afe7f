"""Records of unfinished exports, in the person's own state folder: only what stands there is taken up again.

Anyone may put a folder of any name where files are exported to. A stage is therefore believed only when a
record made by this person names its place, its random name and the very folder (device and inode), when it
is private to this person, and when nothing in it is a link or of another name than the record has.
"""

import json
import os
import secrets
import stat
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final

from holdwright.resources import state_folder

PREFIX: Final = ".holdwright-"
NEW: Final = "new"
OLD: Final = "old"
JOURNAL: Final = "journal.json"
RETREAT: Final = "retreat.json"
DRAFT: Final = "draft.json"
_LONGEST: Final = 1_000_000
"""Bytes of a record or a journal; more is none of ours."""


@dataclass(frozen=True)
class StageRecord:
    """An export under way, or left unfinished.

    Attributes
    ----------
    folder
        That the files go to, absolute and without links.
    stage
        Name of the hidden folder in it.
    names
        All files the export may write or replace.
    identity
        Device and inode of that hidden folder; None for one that was not yet in use.
    """

    folder: str
    stage: str
    names: tuple[str, ...]
    identity: tuple[int, int] | None = None

    @property
    def path(self) -> Path:
        """Of the hidden folder."""
        return Path(self.folder) / self.stage


@contextmanager
def recorded(folder: Path, names: Sequence[str]) -> Iterator[Path]:
    """Make a stage in `folder` and keep a record of it while the block runs.

    The record goes when the stage is gone; with what a killed program leaves, both stay. Where no state
    folder can be written to there is no record, and a stage left by a kill is then never taken up.
    """
    record = StageRecord(str(folder.resolve()), PREFIX + secrets.token_hex(16), tuple(names))
    stage = folder / record.stage
    with _stored(record) as (write, remove):
        try:
            write({"folder": record.folder, "stage": record.stage, "names": record.names})
            stage.mkdir(mode=0o700)
            found = stage.stat()
            write([found.st_dev, found.st_ino])
            yield stage
        finally:
            if not os.path.lexists(stage):
                remove()


def left_records(folder: Path | None = None) -> Iterator[StageRecord]:
    """Give the records of exports that no running program works on, each locked while it is looked at.

    A record is removed when its stage is gone afterwards or is not ours, and when it cannot be read.

    Parameters
    ----------
    folder
        Give those of one folder; of all when None.
    """
    home = _home()
    for path in sorted(home.glob("*.json")) if home is not None and home.is_dir() else []:
        with suppress(OSError), path.open("rb+") as stream:
            if not _try_lock(stream):
                continue
            record = _read(stream)
            if record is None:
                path.unlink()
            elif folder is None or record.folder == str(folder.resolve()):
                yield record
                if Path(record.folder).is_dir() and not is_ours(record):
                    path.unlink()


def is_ours(record: StageRecord) -> bool:
    """Whether what stands at the record's place is the stage it was made for, and nobody else wrote in it."""
    try:
        found = record.path.lstat()
        if not stat.S_ISDIR(found.st_mode) or (found.st_dev, found.st_ino) != record.identity:
            return False
        return _private(found) and all(_expected(each, record.names) for each in record.path.iterdir())
    except OSError:
        return False


def read_journal(path: Path, names: Sequence[str]) -> dict[str, Any] | None:
    """Read what a stage was about to do; None where it is not a journal for some of these names.

    Returns
    -------
    `files`: for each name the size and time of change (ns) of the new file, and of the old one or None.
    """
    try:
        if path.stat().st_size > _LONGEST:
            return None
        journal = json.loads(path.read_text("utf-8"))
        files = journal["files"]
        sound = set(journal) == {"files"} and set(files) <= set(names)
        sound = sound and all(set(each) == {"new", "old"} for each in files.values())
        stamps = [each[side] for each in files.values() for side in ("new", "old")]
        sound = sound and all(each is None or _is_stamp(each) for each in stamps)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    return journal if sound else None


def plain(name: object) -> bool:
    """Whether a name is that of a file in the very folder, on any system."""
    return isinstance(name, str) and name not in ("", ".", "..") and not set(name) & set("/\\:\0")


def _is_stamp(value: object) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(type(each) is int for each in value)


def _private(found: os.stat_result) -> bool:
    return sys.platform == "win32" or (found.st_uid == os.geteuid() and not found.st_mode & 0o077)


def _expected(path: Path, names: Sequence[str]) -> bool:
    """Whether an entry of a stage is one that an export makes; links only among the files put by."""
    mode = path.lstat().st_mode
    if path.name in (JOURNAL, RETREAT, DRAFT):
        return stat.S_ISREG(mode)
    if path.name not in (NEW, OLD) or not stat.S_ISDIR(mode):
        return False
    kinds = [(each.name, each.lstat().st_mode) for each in path.iterdir()]
    return all(
        name in names and (stat.S_ISREG(kind) or (path.name == OLD and stat.S_ISLNK(kind)))
        for name, kind in kinds
    )


def _home() -> Path | None:
    state = state_folder()
    return None if state is None else state / "exports"


@contextmanager
def _stored(record: StageRecord) -> Iterator[tuple[Callable[[Any], None], Callable[[], None]]]:
    """Give what writes a line of a record, and what removes it; it is locked while the block runs.

    Where there is no state folder, or it cannot be written to, both do nothing.
    """
    path = (_home() or Path(os.devnull)) / f"{record.stage.removeprefix(PREFIX)}.json"
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        stream = path.open("x+b")
    except OSError:
        yield lambda _: None, lambda: None
        return

    def write(line: object) -> None:
        stream.write(json.dumps(line).encode("ascii") + b"\n")
        stream.flush()
        os.fsync(stream.fileno())

    with stream:
        _try_lock(stream)
        yield write, lambda: path.unlink(missing_ok=True)


def _read(stream: IO[bytes]) -> StageRecord | None:
    try:
        first, _, second = stream.read(_LONGEST).partition(b"\n")
        values = json.loads(first)
        identity = json.loads(second) if second.endswith(b"\n") else None
        if identity is not None and not _is_stamp(identity):
            return None
        record = StageRecord(
            values["folder"], values["stage"], tuple(values["names"]), identity and (identity[0], identity[1])
        )
        random = record.stage.removeprefix(PREFIX)
        sound = (
            record.stage == PREFIX + random and len(random) == 32 and set(random) <= set("0123456789abcdef")
        )
        sound = sound and Path(record.folder).is_absolute() and "\0" not in record.folder
        return record if sound and all(plain(name) for name in record.names) else None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _try_lock(stream: IO[bytes]) -> bool:
    """Lock a file of ours unless another program has; the system ends the lock with the program."""
    try:
        if sys.platform == "win32":
            import msvcrt

            # Far beyond the text, so that it stays readable.
            os.lseek(stream.fileno(), _LONGEST, os.SEEK_SET)
            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
            os.lseek(stream.fileno(), 0, os.SEEK_SET)
        else:
            import fcntl

            fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
