"""Freed memory goes back to the system."""

import ctypes
import sys
from pathlib import Path

import numpy as np
import pytest

from holdwright.memory_limits import release_memory


def _resident() -> int:
    line = next(
        each for each in Path("/proc/self/status").read_text().splitlines() if each.startswith("VmRSS")
    )
    return int(line.split()[1]) * 1024


@pytest.mark.skipif(sys.platform != "linux", reason="reads the resident size as Linux tells it")
def test_what_was_freed_is_no_longer_held() -> None:
    blocks = [np.ones(12_500) for _ in range(2_000)]  # 100 kB each: too small to be mapped alone
    del blocks[1::2]
    last = blocks.pop()
    blocks.clear()
    before = _resident()
    release_memory()
    assert last.sum() == 12_500
    assert _resident() < before - 50_000_000


def test_elsewhere_it_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[object] = []
    monkeypatch.setattr(sys, "platform", "other")
    monkeypatch.setattr(ctypes, "CDLL", asked.append)
    release_memory()
    assert not asked, "no library is asked for anything"
