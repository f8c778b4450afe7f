"""How much of the machine's memory the work on sculpts may take."""

import contextlib
import os
import sys
from pathlib import Path
from typing import Final

SHARE: Final = 0.8
"""Of the memory there is: beyond it the whole machine stalls, and not only the work."""

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
    _, hard = resource.getrlimit(resource.RLIMIT_DATA)
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_DATA, (most, hard))
