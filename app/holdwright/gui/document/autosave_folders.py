"""Where windows keep their documents safe: each in a folder of its own, that none may write over another."""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PySide6.QtCore import QLockFile

from holdwright.pipeline.recipes.autosave import (
    Autosave,
    autosave_path,
    drop_autosave,
    prune_autosaves,
    unsaved_autosaves,
)
from holdwright.session import unsaved_changes

_LOCK: Final = "in-use"
_ASIDE: Final = "aside-"


@dataclass(frozen=True)
class UnsavedDocument:
    """A document that a window never saved and no window has open."""

    folder: Path
    path: Path | None
    """folder and path: of its autosave; of its recipe, None where it never had a file."""
    stored: Autosave
    """Its recipe and history."""


class AutosaveFolders:
    """The folder of one window, and a view of what other windows left behind.

    Parameters
    ----------
    folder
        That of all windows.

    Attributes
    ----------
    folder
        That of this window, taken until `release`; the first that is free, so that a window alone always has
        the same one and finds its documents' histories again.
    """

    def __init__(self, folder: Path) -> None:
        self._all = folder
        number = 1
        while True:
            self.folder = folder / str(number)
            self.folder.mkdir(parents=True, exist_ok=True)
            lock = _lock(self.folder)
            if lock.tryLock(0) or lock.error() != QLockFile.LockError.LockFailedError:
                break
            number += 1
        self._lock = lock

    @property
    def pictures(self) -> Path:
        """The folder for pictures of documents, that of all windows."""
        return self._all.with_name("pictures")

    def unsaved_documents(self) -> Iterator[UnsavedDocument]:
        """Read all documents that were never saved and are open nowhere, one by one; old histories go."""
        for folder in self._free():
            prune_autosaves(folder)
            for path, stored in unsaved_autosaves(folder):
                yield UnsavedDocument(folder, path, stored)
            self._remove_emptied(folder)

    def unsaved_document(self, path: Path) -> UnsavedDocument | None:
        """Give what was never saved of the recipe in a file; None where nothing was lost."""
        read = ((folder, unsaved_changes(path, folder)) for folder in self._free())
        return next((UnsavedDocument(folder, path.resolve(), each) for folder, each in read if each), None)

    def folders_with(self, path: Path) -> tuple[Path, ...]:
        """Give the folders in which something is stored of a recipe's file, the latest first, open or not."""
        found: list[tuple[int, Path]] = []
        for folder in self._all.iterdir():
            try:
                found.append((autosave_path(folder, path).stat().st_mtime_ns, folder))
            except OSError:
                continue
        return tuple(folder for _, folder in sorted(found, reverse=True))

    def discard(self, left: UnsavedDocument) -> None:
        """Forget what was left behind."""
        drop_autosave(left.folder, left.path)
        self._remove_emptied(left.folder)

    def set_aside(self, left: UnsavedDocument) -> None:
        """Keep what was left behind for another time, out of the way of this window."""
        if left.folder == self.folder:
            aside = Path(tempfile.mkdtemp(prefix=_ASIDE, dir=self._all))
            file = autosave_path(left.folder, left.path)
            shutil.move(file, aside / file.name)

    def release(self) -> None:
        """Let another window have the folder."""
        self._lock.unlock()

    def _free(self) -> Iterator[Path]:
        """Give the folders no other window works in, its own first."""
        others = sorted(path for path in self._all.iterdir() if path.is_dir() and path != self.folder)
        yield self.folder
        for folder in others:
            lock = _lock(folder)
            if lock.tryLock(0):
                lock.unlock()
                yield folder

    @staticmethod
    def _remove_emptied(folder: Path) -> None:
        if folder.name.startswith(_ASIDE):
            with suppress(OSError):  # something is in it still
                folder.rmdir()


def _lock(folder: Path) -> QLockFile:
    """Make the lock of a folder; that of a program that has ended counts as open."""
    lock = QLockFile(str(folder / _LOCK))
    lock.setStaleLockTime(0)
    return lock
