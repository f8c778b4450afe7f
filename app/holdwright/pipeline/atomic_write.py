"""Writing a file whole or not at all."""

import os
import tempfile
import time
from contextlib import suppress
from pathlib import Path
from typing import Final

PART_SECONDS: Final = 600.0
"""A temporary sibling older than this was left by a program that broke off."""


def write_whole(path: Path, content: bytes) -> None:
    """Write a file by way of a temporary sibling, so that it is never half there.

    Raises
    ------
    OSError
        When it cannot be written; what was there before stays.
    """
    path = path.resolve()
    descriptor, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    sibling = Path(name)
    try:
        with os.fdopen(descriptor, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        sibling.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
        sibling.replace(path)
    except BaseException:
        sibling.unlink(missing_ok=True)
        raise


def remove_broken_off(folder: Path) -> None:
    """Remove what writes that were broken off left in a folder that is the program's own."""
    for path in folder.glob(".*.part"):
        with suppress(OSError):
            if abs(time.time() - path.stat().st_mtime) > PART_SECONDS:
                path.unlink()
