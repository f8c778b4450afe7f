"""Replacing several files as one: all of them or none, whenever the power goes.

New files are first written into a hidden folder beside their places. Once all are on the disk a journal says
so, and only then do they move into place one by one. Whoever comes next to the folder finishes what a killed
program left: with a journal the moves are completed, without one the hidden folder is thrown away.
"""

import hashlib
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

PREFIX: Final = ".holdwright-"
_JOURNAL = "journal.json"
_RETREAT = "retreat.json"
_NEW = "new"
_OLD = "old"


@contextmanager
def staged(folder: Path) -> Iterator[Path]:
    """Give an empty folder whose files replace those of the same names in `folder` when the block ends well.

    Where the block, or a replacement, fails, all files in `folder` are as they were.

    Parameters
    ----------
    folder
        Must be there. Others who stage into it wait until the block has ended.

    Raises
    ------
    OSError
        When the disk refuses.
    """
    with _alone(folder):
        recover(folder)
        stage = Path(tempfile.mkdtemp(prefix=PREFIX, dir=folder))
        try:
            new = stage / _NEW
            new.mkdir()
            yield new
            _move_in(stage, folder)
        except BaseException:
            if (stage / _JOURNAL).is_file():
                (stage / _JOURNAL).replace(stage / _RETREAT)
                _retreat(stage, folder)
            _discard(stage)
            raise
        _discard(stage)


def recover(folder: Path) -> None:
    """Finish or undo what a killed program left in `folder`."""
    for stage in sorted(folder.glob(f"{PREFIX}*")):
        if (stage / _RETREAT).is_file():
            _retreat(stage, folder)
        elif (stage / _JOURNAL).is_file():
            for name in _names(stage / _JOURNAL, "files"):
                if (stage / _NEW / name).is_file():
                    (stage / _NEW / name).replace(folder / name)
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
    new, old = stage / _NEW, stage / _OLD
    old.mkdir()
    names = sorted(path.name for path in new.iterdir())
    for name in names:
        sync(new / name)
        if (folder / name).exists():
            _keep(folder / name, old / name)
    sync_folder(new)
    _write_journal(stage, names, fresh=[name for name in names if not (old / name).exists()])
    for name in names:
        (new / name).replace(folder / name)
    sync_folder(folder)


def _keep(path: Path, second: Path) -> None:
    """Give a file a second name; a copy where the disk knows no second names."""
    try:
        os.link(path, second)
    except OSError:
        shutil.copy2(path, second)


def _write_journal(stage: Path, files: Sequence[str], fresh: Sequence[str]) -> None:
    draft = stage / "draft.json"
    draft.write_text(json.dumps({"files": list(files), "fresh": list(fresh)}), encoding="utf-8")
    sync(draft)
    draft.replace(stage / _JOURNAL)
    sync_folder(stage)


def _retreat(stage: Path, folder: Path) -> None:
    """Put the old files back, and take away new ones that had no predecessor."""
    fresh = _names(stage / _RETREAT, "fresh")
    for name in _names(stage / _RETREAT, "files"):
        if name in fresh:
            if not (stage / _NEW / name).exists():
                (folder / name).unlink(missing_ok=True)
        elif (stage / _OLD / name).exists():
            (stage / _OLD / name).replace(folder / name)
    sync_folder(folder)


def _discard(stage: Path) -> None:
    """Throw a hidden folder away, what it says first: it is done with."""
    for journal in (_JOURNAL, _RETREAT):
        (stage / journal).unlink(missing_ok=True)
    shutil.rmtree(stage, ignore_errors=True)


def _names(journal: Path, key: str) -> list[str]:
    try:
        names = json.loads(journal.read_text(encoding="utf-8"))[key]
    except (ValueError, KeyError, TypeError):
        return []  # not ours: we put journals in place whole
    return [Path(str(name)).name for name in names]


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Keep others who stage into the same folder waiting; the system ends this with the program."""
    if sys.platform == "win32":
        import msvcrt

        place = hashlib.blake2b(str(folder.resolve()).casefold().encode(), digest_size=8).hexdigest()
        mark = Path(tempfile.gettempdir()) / f"holdwright-{place}.lock"
        with mark.open("a") as stream:
            msvcrt.locking(stream.fileno(), msvcrt.LK_LOCK, 1)
            yield
    else:
        import fcntl

        descriptor = os.open(folder, os.O_RDONLY)
        try:
            with suppress(OSError):  # some network disks know no locks; alone is then the usual case
                fcntl.flock(descriptor, fcntl.LOCK_EX)
            yield
        finally:
            os.close(descriptor)
