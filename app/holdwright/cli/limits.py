"""How long the work on one sculpt may go on."""

from pathlib import Path


def time_limit(path: Path, seconds: float, seconds_per_mib: float) -> float:
    """Give the time that the work on a file may take: so long for any, and more for each MiB."""
    try:
        size = path.stat().st_size
    except (OSError, ValueError):
        return seconds
    return seconds + seconds_per_mib * size / 2**20
