"""Replacing several files as one: all of them or none, whenever the power goes.

New files are first written into a hidden folder beside their places. Once all are on the disk a journal says
so, and only then do they move into place one by one. What a killed program left is finished or undone by the
next export into that folder or at the next start, and only where it is provably ours (see `stage_record`):
with a journal the moves are completed, without one the hidden folder is thrown away. A file that somebody
else changed meanwhile is left as it is.
"""

import hashlib
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from holdwright.export.stage_record import (
    DRAFT,
    JOURNAL,
    NEW,
    OLD,
    PREFIX,
    RETREAT,
    StageRecord,
    is_ours,
    left_records,
    read_journal,
    recorded,
)

Stamp = list[int]


@contextmanager
def staged(folder: Path, names: Iterable[str]) -> Iterator[Path]:
    """Give an empty folder whose files replace those of the same names in `folder` when the block ends well.

    Where the block, or a replacement, fails, all files in `folder` are as they were.

    Parameters
    ----------
    folder
        Must exist. Others who stage into it wait until the block has ended.
    names
        Of all files the block may write.

    Raises
    ------
    OSError
        When the disk refuses.
    """
    with _alone(folder):
        recover(folder)
        with recorded(folder, sorted(names)) as stage:
            try:
                (stage / NEW).mkdir()
                yield stage / NEW
                _move_in(stage, folder)
            except BaseException:
                if (stage / JOURNAL).is_file():
                    (stage / JOURNAL).replace(stage / RETREAT)
                    _retreat(stage, folder, sorted(names))
                _discard(stage)
                raise
            _discard(stage)


def recover(folder: Path) -> None:
    """Finish or undo what killed programs of this person left in `folder`; what cannot be is left alone."""
    for record in left_records(folder):
        _recover(record)


def recover_everywhere() -> None:
    """Finish or undo what killed programs of this person left in any folder that can be reached."""
    for record in left_records():
        folder = Path(record.folder)
        with suppress(OSError):
            if folder.is_dir():
                with _alone(folder, wait=False):
                    _recover(record)


def left_alone(folder: Path) -> tuple[Path, ...]:
    """Give what looks like an unfinished export in `folder` but is not known to be ours; it stays there."""
    try:
        return tuple(sorted(folder.glob(f"{PREFIX}*")))
    except OSError:
        return ()


def _recover(record: StageRecord) -> None:
    stage, folder = record.path, Path(record.folder)
    with suppress(OSError):
        if record.identity is None:
            stage.rmdir()  # killed before it was used
        if not is_ours(record):
            return
        if (stage / RETREAT).is_file():
            _retreat(stage, folder, record.names)
        elif (journal := read_journal(stage / JOURNAL, record.names)) is not None:
            for name, stamps in journal["files"].items():
                if _stamp(stage / NEW / name) == stamps["new"] and _stamp(folder / name) == stamps["old"]:
                    (stage / NEW / name).replace(folder / name)
            sync_folder(folder)
        _discard(stage)


def sync(path: Path) -> None:
    """Wait until a file is on the disk."""
    with path.open("rb+") as stream:
        os.fsync(stream.fileno())


def sync_folder(folder: Path) -> None:
    """Wait until a folder's entries are on the disk, where the system can tell."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _move_in(stage: Path, folder: Path) -> None:
    new, old = stage / NEW, stage / OLD
    old.mkdir()
    files = {}
    for name in sorted(path.name for path in new.iterdir()):
        sync(new / name)
        if os.path.lexists(folder / name):
            _put_by(folder / name, old / name)
        files[name] = {"new": _stamp(new / name), "old": _stamp(folder / name)}
    sync_folder(new)
    _write_journal(stage, files)
    for name in files:
        (new / name).replace(folder / name)
    sync_folder(folder)


def _stamp(path: Path) -> Stamp | None:
    """Size and time of change (ns) of a file, or of a link itself; None where there is none."""
    try:
        found = path.lstat()
    except OSError:
        return None
    return [found.st_size, found.st_mtime_ns]


def _put_by(path: Path, second: Path) -> None:
    """Give a file a second name; a copy where the disk knows no second names. A link stays a link."""
    try:
        os.link(path, second, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(path, second, follow_symlinks=False)


def _write_journal(stage: Path, files: dict[str, Any]) -> None:
    draft = stage / DRAFT
    draft.write_text(json.dumps({"files": files}), encoding="utf-8")
    sync(draft)
    draft.replace(stage / JOURNAL)
    sync_folder(stage)


def _retreat(stage: Path, folder: Path, names: Sequence[str]) -> None:
    """Put the old files back, and take away new ones that had no predecessor."""
    journal = read_journal(stage / RETREAT, names)
    for name, stamps in journal["files"].items() if journal is not None else ():
        if (stage / NEW / name).exists() or _stamp(folder / name) != stamps["new"]:
            continue
        if stamps["old"] is None:
            (folder / name).unlink(missing_ok=True)
        elif os.path.lexists(stage / OLD / name):
            (stage / OLD / name).replace(folder / name)
    sync_folder(folder)


def _discard(stage: Path) -> None:
    """Throw a hidden folder away, what it says first: it is done with."""
    for journal in (JOURNAL, RETREAT):
        with suppress(OSError):
            (stage / journal).unlink()
    shutil.rmtree(stage, ignore_errors=True)


@contextmanager
def _alone(folder: Path, *, wait: bool = True) -> Iterator[None]:
    """Keep others who stage into the same folder waiting; the system ends this with the program.

    Raises
    ------
    OSError
        When another is at work there and is not to be waited for.
    """
    if sys.platform == "win32":
        import msvcrt

        place = hashlib.blake2b(str(folder.resolve()).casefold().encode(), digest_size=8).hexdigest()
        mark = Path(tempfile.gettempdir()) / f"holdwright-{place}.lock"
        with mark.open("a") as stream:
            msvcrt.locking(stream.fileno(), msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
            yield
    else:
        import fcntl

        descriptor = os.open(folder, os.O_RDONLY)
        try:
            try:
                fcntl.flock(descriptor, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError as error:  # some network disks know no locks; alone is then the usual case
                if isinstance(error, BlockingIOError):
                    raise
            yield
        finally:
            os.close(descriptor)
