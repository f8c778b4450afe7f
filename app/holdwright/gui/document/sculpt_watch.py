"""Notices that the open sculpt's file holds another sculpt, once that is whole and no work goes on."""

import threading
from pathlib import Path
from typing import Final

from PySide6.QtCore import QFileSystemWatcher, QObject, Qt, QTimer, Signal

from holdwright.files.on_disk import STILL, Stamp, digest_of, stamp_of
from holdwright.gui.document.document import Document

STILL_MS: Final = round(1000 * STILL)


class SculptWatch(QObject):
    """Watches the sculpt of the open document: told by the system, never by looking again and again.

    Whether a program writes into the file or puts a finished one in its place makes no difference, nor that
    it is gone for a while. Only other bytes count: a file written anew with the same is left alone.

    Attributes
    ----------
    automatic
        Whether another sculpt is replayed unasked, but for a recipe whose last replay the user stopped.
    offered
        The file whose change the user is to be told of; None for none.

    Signals
    -------
    changed
        Another file is offered, or none any longer.
    """

    changed = Signal()
    _read = Signal(object, object, str)

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self.automatic = False
        self.offered: Path | None = None
        self._document = document
        self._path: Path | None = None
        self._known: Stamp | None = None
        self._growing: Stamp | None = None
        self._watcher = QFileSystemWatcher(self)
        self._still = QTimer(self, singleShot=True, interval=STILL_MS)
        self._still.timeout.connect(self._settle)
        self._watcher.fileChanged.connect(self.look)
        self._watcher.directoryChanged.connect(self.look)
        self._read.connect(self._take, Qt.ConnectionType.QueuedConnection)
        document.recipe_changed.connect(self._follow)
        document.sculpt_shown.connect(self.dismiss)
        document.busy_changed.connect(lambda busy: None if busy else self.look())

    def look(self) -> None:
        """Look whether the file has changed: at its stamp alone, and at its bytes where that is another."""
        if self._path is None:
            return
        self._watch(self._path)
        now = stamp_of(self._path)
        if now == self._known:
            self._still.stop()
        elif now != self._growing or not self._still.isActive():
            self._growing = now
            self._still.start()

    def set_automatic(self, automatic: bool) -> None:
        """Replay unasked from now on, beginning with what is offered; or ask."""
        self.automatic = automatic
        if automatic:
            self.take()

    def dismiss(self) -> None:
        """Withdraw the offer, until the file changes once more."""
        self._offer(None)

    def take(self) -> None:
        """Replay the recipe on what is offered, if anything is."""
        if self.offered is not None:
            self._replay()

    def _replay(self) -> None:
        self._offer(None)
        self._document.read_again()

    def _follow(self) -> None:
        path = self._document.sculpt_path
        if path == self._path:
            return
        self._offer(None)
        self._still.stop()
        if watched := [*self._watcher.files(), *self._watcher.directories()]:
            self._watcher.removePaths(watched)
        self._path, self._known = path, None
        if path is not None:
            self._watch(path)
            self._known = stamp_of(path)

    def _watch(self, path: Path) -> None:
        """Watch folder and file; one put in the place of another is watched anew."""
        for each in (path, path.parent):
            name = str(each)
            # The watcher knows no names that are not Unicode; then coming back to the window has to do.
            if name.encode(errors="ignore").decode() == name and each.exists():
                self._watcher.removePath(name)
                self._watcher.addPath(name)

    def _settle(self) -> None:
        """Read the file in a thread, once it is whole and the geometry process rests."""
        path, document = self._path, self._document
        if path is None or document.busy:
            return  # looked at again when it rests
        now = stamp_of(path)
        if now != self._growing:
            self.look()
            return
        self._known = now
        if now is None:
            self._offer(None)  # what was made of it stays open
        else:
            threading.Thread(target=self._digest, args=(path, now), daemon=True).start()

    def _digest(self, path: Path, stamp: Stamp) -> None:
        try:
            self._read.emit(path, stamp, digest_of(path))
        except (OSError, RuntimeError):  # gone again, or the window is
            return

    def _take(self, path: Path, stamp: Stamp, digest: str) -> None:
        document = self._document
        if path != self._path or stamp != self._known:
            return
        if document.busy or stamp_of(path) != stamp:
            self._known = None
            self.look()
        elif document.sculpt is not None and document.sculpt.digest == digest:
            self._offer(None)
        elif (self.automatic or document.sculpt is None) and not document.stopped:
            self._replay()
        else:
            self._offer(path)

    def _offer(self, path: Path | None) -> None:
        if path != self.offered:
            self.offered = path
            self.changed.emit()
