"""How long the work on one sculpt may go on, and that it ends with whoever asked for it."""

import contextlib
import sys
from pathlib import Path
from typing import Final

_DIE_WITH_PARENT: Final = 1


def die_with_parent() -> None:
    """Have this process ended when the one that started it is, however that happens; Linux alone can."""
    if sys.platform != "linux":
        return
    import ctypes
    import signal

    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(_DIE_WITH_PARENT, signal.SIGKILL)


def time_limit(path: Path, seconds: float, seconds_per_mib: float) -> float:
    """Give the time that the work on a file may take: so long for any, and more for each MiB."""
    try:
        size = path.stat().st_size
    except (OSError, ValueError):
        return seconds
    return seconds + seconds_per_mib * size / 2**20
