"""Results kept in a folder: what is damaged is absent, and what a broken-off write left behind goes.

`HOLDWRIGHT_TRIALS=3000` tries so many damaged files instead of a few.
"""

import io
import os
import random
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from holdwright.hold.finding import Finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome
from holdwright.pipeline.atomic_write import PART_SECONDS
from holdwright.pipeline.replaying.store import Store
from pipeline.toys import put
from shapes import block

TRIALS = int(os.environ.get("HOLDWRIGHT_TRIALS", "80"))
OUTCOME = Outcome(
    Hold(placement=np.eye(4) * 1.1, sized=True).with_parts({"shell": block(), "core": block(9)}),
    (Finding("thin_under_seat", "warning", "It is thin.", 2.0, 3.0, "mm", (1.0, 2.0, 3.0)),),
    "two parts",
)
Damage = Callable[[bytes, random.Random], bytes]


def flip(content: bytes, chance: random.Random) -> bytes:
    spoilt = bytearray(content)
    for _ in range(chance.randint(1, 40)):
        spoilt[chance.randrange(len(spoilt))] ^= 1 << chance.randrange(8)
    return bytes(spoilt)


def flip_directory(content: bytes, chance: random.Random) -> bytes:
    """Spoil what says where and how the parts lie: there no check sum helps."""
    spoilt = bytearray(content)
    start = chance.choice([content.rfind(b"PK\x05\x06"), content.find(b"PK\x01\x02")])
    for _ in range(chance.randint(1, 4)):
        spoilt[min(start + chance.randrange(60), len(spoilt) - 1)] = chance.randrange(256)
    return bytes(spoilt)


def cut(content: bytes, chance: random.Random) -> bytes:
    return content[: chance.randrange(len(content))]


def zero(content: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(content))
    length = chance.randint(1, 4096)
    return content[:start] + bytes(length) + content[start + length :]


def shift(content: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(content))
    return content[:start] + chance.randbytes(chance.randint(1, 64)) + content[start:]


def repack(content: bytes, chance: random.Random) -> bytes:
    """Spoil one part and pack it soundly again: the check sums are right, the content is not."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(stream, "w") as new:
        chosen = chance.choice(old.namelist())
        for name in old.namelist():
            part = old.read(name)
            if name == chosen:
                part = chance.choice([flip, cut, zero, shift, deepen, enlarge])(part, chance)
            new.writestr(name, part)
    return stream.getvalue()


def deepen(content: bytes, chance: random.Random) -> bytes:
    """Give an array of text nested deeper than any reader goes."""
    stream = io.BytesIO()
    np.save(stream, np.frombuffer(b"[" * 200_000, dtype=np.uint8))
    return stream.getvalue()


def enlarge(content: bytes, chance: random.Random) -> bytes:
    """Claim an array of more bytes than any machine has."""
    return content.replace(b"(8, 3)", b"(8" + b"0" * 9 + b", 3)", 1)


DAMAGES: list[Damage] = [flip, flip_directory, cut, zero, shift, repack]


@pytest.mark.parametrize("part", range(4))
def test_whatever_is_wrong_with_a_file_it_is_absent_and_goes(part: int, tmp_path: Path) -> None:
    put(Store(tmp_path), "k", OUTCOME)
    path = tmp_path / "k.npz"
    sound = path.read_bytes()
    volumes = [solid.volume for solid in OUTCOME.hold.solids.values()]
    tally = {"absent": 0, "sound": 0, "other": 0}
    for trial in range(part, TRIALS, 4):
        chance = random.Random(trial)
        damage = chance.choice(DAMAGES)
        path.write_bytes(damage(sound, chance))
        found = Store(tmp_path).get("k")
        if found is None:
            assert not path.exists(), (trial, damage)
            tally["absent"] += 1
            continue
        same = [solid.volume for solid in found.hold.solids.values()] == volumes
        assert same or damage is repack, (trial, damage)
        tally["sound" if same else "other"] += 1
    print(tally)  # noqa: T201  read with -rP
    assert tally["absent"] > TRIALS / 8


@pytest.mark.parametrize("error", [RecursionError, MemoryError, NotImplementedError, TypeError, RuntimeError])
def test_whatever_a_reader_raises(
    error: type[Exception], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(Store(tmp_path), "k", OUTCOME)

    def fail(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr("holdwright.pipeline.replaying.store.np.load", fail)
    assert Store(tmp_path).get("k") is None
    assert list(tmp_path.iterdir()) == []


def test_what_a_broken_off_write_left_is_counted_and_then_goes(tmp_path: Path) -> None:
    put(Store(tmp_path), "a", OUTCOME)
    size = (tmp_path / "a.npz").stat().st_size
    fresh, old = tmp_path / ".b.npz.12345678.part", tmp_path / ".c.npz.12345678.part"
    for path in (fresh, old):
        path.write_bytes(bytes(2 * size))
    past = time.time() - 2 * PART_SECONDS
    os.utime(old, (past, past))
    store = Store(tmp_path, budget=int(3.5 * size))
    store.tidy()
    assert not old.exists()
    assert fresh.exists(), "another process may be writing it"
    assert store.get("a") is not None
    put(store, "d", OUTCOME)
    assert [path.name for path in tmp_path.glob("*.npz")] == ["d.npz"], (
        "what is being written takes its share"
    )
