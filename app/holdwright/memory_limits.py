"""How much of the machine's memory the work on sculpts may take, and giving it back."""

import contextlib
import ctypes
import os
import sys
from pathlib import Path
from typing import Final

from holdwright.errors import GeometryError

SHARE: Final = 0.8
"""Of the memory there is: beyond it the whole machine stalls, and not only the work."""

LEAST: Final = 512 << 20
"""Bytes below which the libraries do not even load, and may hang or die rather than say so."""

_TRIM_THRESHOLD: Final = -1
_MMAP_THRESHOLD: Final = -3
_MOST_KEPT: Final = 256 << 20
"""Parameters of mallopt(3): above it free memory goes back to the system, from an eighth of it (the most that
glibc takes) blocks are apart."""

_CONTROL_GROUPS = (
    Path("/sys/fs/cgroup/memory.max"),
    Path("/sys/fs/cgroup/memory/memory.limit_in_bytes"),
)


def memory_limit() -> int | None:
    """Give the bytes that the work may take; None where the system does not tell what there is."""
    try:
        total = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    except (AttributeError, ValueError, OSError):
        return None
    for path in _CONTROL_GROUPS:
        with contextlib.suppress(OSError, ValueError):
            total = min(total, int(path.read_text("ascii")))
    return int(SHARE * total) if total > 0 else None


def limit_memory(most: int | None) -> None:
    """Let this process take no more memory than `most`, where the system can hold it to that."""
    if most is None or sys.platform == "win32":
        return
    import resource

    # What is private and written to, not the address space, of which threads and libraries reserve far more.
    soft, hard = resource.getrlimit(resource.RLIMIT_DATA)
    if soft == resource.RLIM_INFINITY or most < soft:
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(resource.RLIMIT_DATA, (most, hard))


def check_memory() -> None:
    """Refuse to begin where this process is allowed less memory than loading the libraries takes.

    Raises
    ------
    GeometryError
        Saying what is allowed and what is needed.
    """
    limits = [memory_limit()]
    if sys.platform != "win32":
        import resource

        limits += [resource.getrlimit(kind)[0] for kind in (resource.RLIMIT_DATA, resource.RLIMIT_AS)]
    allowed = min((limit for limit in limits if limit is not None and limit >= 0), default=LEAST)
    if allowed < LEAST:
        raise GeometryError(
            f"The work is allowed {allowed >> 20} MiB of memory, and needs at least {LEAST >> 20}; raise the "
            "limit, or close other programs."
        )


def keep_memory() -> None:
    """Keep large blocks that are freed for the next: asking the system each time is a thirtieth of a replay.

    Does nothing where the system's library has no such call (mallopt(3), Linux manual pages).
    """
    if sys.platform == "linux" and hasattr(library := ctypes.CDLL(None), "mallopt"):
        library.mallopt(_MMAP_THRESHOLD, _MOST_KEPT // 8)
        library.mallopt(_TRIM_THRESHOLD, _MOST_KEPT)


def release_memory() -> None:
    """Let the system have what is free; does nothing where the system's library has no such call.

    glibc keeps freed blocks below others still in use: after a large import that is half of the process
    (malloc_trim(3), Linux manual pages). Takes up to 50 ms.
    """
    if sys.platform != "linux":
        return
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)
