"""Notices sculpts that come into a folder or change there, once they are whole."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

from watchfiles import Change, watch

from holdwright.files.on_disk import STILL, Stamp, stamp_of

ENDINGS: Final = (".obj", ".stl", ".ply", ".3mf", ".glb", ".gltf")
"""Of files that may be sculpts, in small letters."""

_LOOK_MS: Final = 100


def sculpts_in(folder: Path) -> list[Path]:
    """Give the files in a folder that may be sculpts, by name."""
    return sorted(path for path in folder.iterdir() if _may_be_sculpt(path))


def coming_sculpts(folder: Path, stopped: Callable[[], bool] | None = None) -> Iterator[Path]:
    """Give each sculpt in a folder, then each that comes or changes, once it has been whole for a while.

    Whether a program writes into the file or puts a finished one in its place makes no difference; a file
    that is gone again is let go. Ends when `stopped` says so.
    """
    growing: dict[Path, tuple[float, Stamp | None]] = {}
    noticed = watch(
        folder, recursive=False, step=50, debounce=200, rust_timeout=_LOOK_MS, yield_on_timeout=True
    )
    first = True
    for changes in noticed:
        if first:  # what is there by now: later changes are noticed
            first = False
            growing.update((path, (time.monotonic(), stamp_of(path))) for path in sculpts_in(folder))
        if stopped is not None and stopped():
            return
        for change, name in changes:
            path = Path(name)
            if change != Change.deleted and _may_be_sculpt(path):
                growing[path] = (time.monotonic(), stamp_of(path))
        for path, (since, stamp) in list(growing.items()):
            now = stamp_of(path)
            if now is None:
                del growing[path]
            elif now != stamp:
                growing[path] = (time.monotonic(), now)
            elif time.monotonic() - since >= STILL:
                del growing[path]
                yield path


def _may_be_sculpt(path: Path) -> bool:
    return path.suffix.lower() in ENDINGS and not path.name.startswith(".") and path.is_file()
