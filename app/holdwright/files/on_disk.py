"""Whether a file has changed, at a glance and by its bytes."""

import hashlib
from pathlib import Path
from typing import Final

Stamp = tuple[int, int]
"""Bytes of a file, and when it was last written to, ns."""

STILL: Final = 0.4
"""Seconds for which a file's stamp must stay, for it to be whole: programs write in pieces."""


def stamp_of(path: Path) -> Stamp | None:
    """Give what changes with a file; None where there is none."""
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_size, status.st_mtime_ns


def digest_of(path: Path) -> str:
    """Give the digest of a file's bytes by which sculpts are known: blake2b, 16 bytes, hexadecimal.

    Raises
    ------
    OSError
        When it cannot be read.
    """
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, lambda: hashlib.blake2b(digest_size=16)).hexdigest()
