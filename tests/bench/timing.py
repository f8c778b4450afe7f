"""Time and memory of what a benchmark measures."""

import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any


def timed(work: Callable[[], Any]) -> tuple[Any, float]:
    """Give what some work gives, and the seconds it took."""
    started = time.perf_counter()
    result = work()
    return result, time.perf_counter() - started


def peak_memory() -> int:
    """Give the most memory that this process has had, bytes."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)


def peak_of(benchmark: str, path: Path) -> int:
    """Have a benchmark work on one file in a process of its own, which prints its peak memory; bytes."""
    command = [sys.executable, benchmark, "--peak", str(path)]
    return int(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
