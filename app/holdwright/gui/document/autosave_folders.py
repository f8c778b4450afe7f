"""Where windows keep their documents safe: each in a folder of its own, that none may write over another."""

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PySide6.QtCore import QLockFile

from holdwright.pipeline.autosave import Autosave, autosave_path, autosaved_paths, drop_autosave
from holdwright.session import unsaved_changes

_LOCK: Final = "in-use"
_ASIDE: Final = "aside-"


@dataclass(frozen=True)
class LeftBehind:
    """A document that a window never saved and no window has open.

    Attributes
    ----------
    folder
        It is kept in.
    path
        Of its recipe; None where it never had a file.
    kept
        Its recipe and history.
    """

    folder: Path
    path: Path | None
    kept: Autosave


class Keeping:
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

    def left_behind(self) -> tuple[LeftBehind, ...]:
        """Give all documents that were never saved and are open nowhere."""
        found = []
        for folder in self._free():
            for path in autosaved_paths(folder):
                kept = unsaved_changes(path, folder)
                if kept is not None:
                    found.append(LeftBehind(folder, path, kept))
        return tuple(found)

    def left_behind_of(self, path: Path) -> LeftBehind | None:
        """Give what was never saved of the recipe in a file; None where nothing was lost."""
        wanted = path.resolve()
        return next((left for left in self.left_behind() if left.path == wanted), None)

    def folders_with(self, path: Path) -> tuple[Path, ...]:
        """Give the folders in which something is kept of a recipe's file, the latest first, open or not."""
        met: list[tuple[int, Path]] = []
        for folder in self._all.iterdir():
            try:
                met.append((autosave_path(folder, path).stat().st_mtime_ns, folder))
            except OSError:
                continue
        return tuple(folder for _, folder in sorted(met, reverse=True))

    def let_go(self, left: LeftBehind) -> None:
        """Forget what was left behind."""
        drop_autosave(left.folder, left.path)

    def put_aside(self, left: LeftBehind) -> None:
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
        yield self.folder
        for folder in sorted(path for path in self._all.iterdir() if path.is_dir()):
            if folder != self.folder:
                lock = _lock(folder)
                if lock.tryLock(0):
                    lock.unlock()
                    yield folder


def _lock(folder: Path) -> QLockFile:
    """Make the lock of a folder; that of a program that has ended counts as open."""
    lock = QLockFile(str(folder / _LOCK))
    lock.setStaleLockTime(0)
    return lock
