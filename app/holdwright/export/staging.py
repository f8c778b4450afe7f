"""Replacing several files as one: all of them or none, whenever the power goes.

New files are first written into a hidden folder (the stage) beside their places. Once all are on the disk a
journal says so, and only then do they move into place one by one. Journals lie in the user's own state
folder, never beside the files, and name their stage by a random token: nothing that lies in a shared folder
can have a file moved or deleted. What a killed program left is finished or undone by the next export into the
same folder, or when the program next starts; a file that was changed meanwhile is left as it is.
"""

import hashlib
import os
import secrets
import shutil
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Final

from holdwright.export.journal import PREFIX, Journal, Stamp, journals, sync_folder

_NEW: Final = "new"
_OLD: Final = "old"


@contextmanager
def staged(folder: Path) -> Iterator[Path]:
    """Give an empty folder whose files replace those of the same names in `folder` when the block ends well.

    Where the block, or a replacement, fails, all files in `folder` are as they were. Without a state folder
    that can be written to, a stage left by a kill is never taken up.

    Parameters
    ----------
    folder
        Must exist. Others who stage into it wait until the block has ended.

    Raises
    ------
    OSError
        When the disk refuses.
    """
    folder = folder.resolve()
    with _alone(folder):
        _recover(folder)
        journal = Journal(str(folder), secrets.token_hex(16)).written()
        try:
            journal.stage.mkdir(0o700)
            journal = replace(journal, state="writing", identity=_identity(journal.stage)).written()
            new = journal.stage / _NEW
            new.mkdir()
            yield new
            journal = _ready(journal)
            for name in journal.files:
                (new / name).replace(folder / name)
            sync_folder(folder)
        except BaseException:
            if journal.state == "moving":
                journal = replace(journal, state="restoring").written()
                _restore(journal)
            _discard(journal)
            raise
        _discard(journal)


def recover_everywhere() -> None:
    """Finish or undo all that exports of this user left when they were killed; never raises.

    Folders another export works in, and those that cannot be reached, are left for another time.
    """
    for folder in {journal.folder for journal in journals()}:
        with suppress(OSError), _alone(Path(folder), wait=False):
            _recover(Path(folder))


def left_alone(folder: Path) -> tuple[Path, ...]:
    """Give what looks like an unfinished export in `folder` but is not known to be ours; it stays there."""
    own = {journal.stage for journal in journals()}
    return tuple(sorted(path for path in folder.resolve().glob(f"{PREFIX}*") if path not in own))


def _sync(path: Path) -> None:
    """Wait until a file is on the disk."""
    with path.open("rb+") as stream:
        os.fsync(stream.fileno())


def _ready(journal: Journal) -> Journal:
    """Give every old file a second name in the stage, wait for the disk, and say that the moves may begin."""
    new, old, folder = journal.stage / _NEW, journal.stage / _OLD, Path(journal.folder)
    old.mkdir()
    files: dict[str, list[Stamp]] = {}
    for name in sorted(path.name for path in new.iterdir()):
        _sync(new / name)
        if os.path.lexists(folder / name):
            _link(folder / name, old / name)
        files[name] = [_stamp(new / name), _stamp(folder / name)]
    sync_folder(new)
    return replace(journal, state="moving", files=files).written()


def _link(path: Path, second: Path) -> None:
    """Give a file a second name; a copy where the disk knows no second names. A link stays a link."""
    try:
        os.link(path, second, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(path, second, follow_symlinks=False)


def _move_in(journal: Journal) -> None:
    """Move what a killed program had not moved yet."""
    folder, new = Path(journal.folder), journal.stage / _NEW
    for name, (stamp, replaced) in journal.files.items():
        if _stamp(new / name) == stamp and _stamp(folder / name) == replaced:
            (new / name).replace(folder / name)
    sync_folder(folder)


def _restore(journal: Journal) -> None:
    """Put the old files back, and take away new ones that replaced none."""
    folder, new, old = Path(journal.folder), journal.stage / _NEW, journal.stage / _OLD
    for name, (stamp, replaced) in journal.files.items():
        if os.path.lexists(new / name) or _stamp(folder / name) != stamp:
            continue
        if replaced is None:
            (folder / name).unlink(missing_ok=True)
        elif os.path.lexists(old / name):
            (old / name).replace(folder / name)
    sync_folder(folder)


def _recover(folder: Path) -> None:
    """Finish or undo what killed exports into `folder` left; what the disk refuses stays for another time."""
    for journal in journals():
        if journal.folder != str(folder):
            continue
        with suppress(OSError):
            if journal.state in ("moving", "restoring") and _is_own(journal):
                try:
                    (_move_in if journal.state == "moving" else _restore)(journal)
                except OSError:
                    journal = replace(journal, state="restoring").written()
                    _restore(journal)
            _discard(journal)


def _discard(journal: Journal) -> None:
    """Remove the stage, and the journal with it; the journal first says that the files are as they should be.

    A stage that cannot be removed is left, and tried again by the next export and the next start.
    """
    with suppress(OSError):
        if journal.state == "begun":
            with suppress(FileNotFoundError):
                journal.stage.rmdir()
        elif _is_own(journal):
            replace(journal, state="done").written()
            shutil.rmtree(journal.stage)  # follows no symbolic link
        journal.remove()


def _is_own(journal: Journal) -> bool:
    """Tell whether the stage is the very folder that was made, and holds no link and no changed file."""
    stage = journal.stage
    try:
        parts = [stage, *(path for path in (stage / _NEW, stage / _OLD) if os.path.lexists(path))]
        if not all(_is_folder(path) for path in parts) or _identity(stage) != journal.identity:
            return False
        return all(_stamp(stage / _NEW / name) in (new, None) for name, (new, _) in journal.files.items())
    except OSError:
        return False


def _is_folder(path: Path) -> bool:
    status = path.lstat()
    if sys.platform == "win32" and status.st_file_attributes & stat.FILE_ATTRIBUTE_REPARSE_POINT:
        return False
    return stat.S_ISDIR(status.st_mode)


def _identity(stage: Path) -> list[int]:
    status = stage.lstat()
    return [status.st_uid, status.st_mode, status.st_ino]


def _stamp(path: Path) -> Stamp:
    try:
        status = path.lstat()
    except FileNotFoundError:
        return None
    return [status.st_size, status.st_mtime_ns]


@contextmanager
def _alone(folder: Path, *, wait: bool = True) -> Iterator[None]:
    """Keep others who stage into the same folder waiting; the system ends this with the program.

    Raises
    ------
    OSError
        Where `wait` is false and another holds the folder, or its disk knows no locks.
    """
    if sys.platform == "win32":
        import msvcrt

        place = hashlib.blake2b(str(folder).casefold().encode(), digest_size=8).hexdigest()
        with (Path(tempfile.gettempdir()) / f"holdwright-{place}.lock").open("a") as stream:
            msvcrt.locking(stream.fileno(), msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
            yield
    else:
        import fcntl

        descriptor = os.open(folder, os.O_RDONLY)
        try:
            try:
                fcntl.flock(descriptor, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
            except OSError:  # some network disks know no locks; alone is then the usual case
                if not wait:
                    raise
            yield
        finally:
            os.close(descriptor)
