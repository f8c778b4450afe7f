"""Outcomes in a folder, so that they outlive the program."""

import io
from collections import OrderedDict
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, get_args

import numpy as np
from pydantic import TypeAdapter

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Feature
from holdwright.hold.finding import Finding
from holdwright.hold.hold import Hold
from holdwright.hold.piece_account import PieceAccount
from holdwright.operations.base import Outcome
from holdwright.pipeline.atomic_write import remove_broken_off, write_whole

STORE_BYTES: Final = 4_000_000_000
"""Budget to start with."""

MOST_OWED: Final = 10
"""Outcomes that wait to be written; of many quick edits only the last ones are worth it."""

_TEXT = "text"
_VERTICES = "vertices "
_TRIANGLES = "triangles "


@dataclass(frozen=True)
class _Words:
    """All of an outcome that is not arrays."""

    solids: tuple[str, ...]
    features: tuple[tuple[str, dict[str, Any]], ...]
    findings: tuple[Finding, ...]
    placement: tuple[tuple[float, ...], ...]
    sized: bool
    result: str
    pieces: tuple[PieceAccount, ...] = ()
    laid: tuple[tuple[float, ...], ...] | None = None
    followed: dict[str, Any] = field(default_factory=dict)
    kept: bool = False


# Made when a folder is first used: a command has none.
_words = cache(lambda: TypeAdapter(_Words))
_features = cache(lambda: {kind.__name__: TypeAdapter[Feature](kind) for kind in get_args(Feature)})


class Store:
    """A folder with one file for each key: numpy's archive of plain arrays, and JSON for the rest.

    Outcomes are written when there is nothing better to do, so that no result waits for the disk. A file that
    is damaged counts as absent and is removed. Whatever the disk refuses is left undone: all that is here can
    be made again.

    Parameters
    ----------
    folder
        Made when first written to.
    budget
        Bytes its files may take; the oldest go first.
    """

    def __init__(self, folder: Path, budget: int = STORE_BYTES) -> None:
        self._folder = folder
        self._budget = budget
        self._owed: OrderedDict[str, Outcome] = OrderedDict()

    def get(self, key: str) -> Outcome | None:
        """Give the outcome of that key, or None."""
        if key in self._owed:
            return self._owed[key]
        path = self._path(key)
        try:
            content = path.read_bytes()
        except OSError:
            return None
        try:
            outcome = _read(content)
        except Exception:  # noqa: BLE001  damage has readers raise anything
            with suppress(OSError):
                path.unlink()
            return None
        with suppress(OSError):
            path.touch()
        return outcome

    def put(self, key: str, outcome: Outcome) -> None:
        """Take an outcome to be written; one that still holds the raw sculpt is not worth it."""
        if outcome.hold.sculpt is None:
            self._owed[key] = outcome
            if len(self._owed) > MOST_OWED:
                self._owed.popitem(last=False)

    def write_one(self) -> bool:
        """Write the outcome that has waited longest, and tell whether there was one."""
        if not self._owed:
            return False
        key, outcome = self._owed.popitem(last=False)
        with suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            write_whole(self._path(key), _written(outcome))
            self.tidy()
        return True

    def tidy(self) -> None:
        """Remove what broken-off writes left, then the oldest results beyond the budget."""
        with suppress(OSError):
            remove_broken_off(self._folder)
            files = [(path.stat(), path) for path in self._folder.iterdir()]
            files.sort(key=lambda entry: entry[0].st_mtime_ns)
            total = sum(status.st_size for status, _ in files)
            for status, path in files:
                if total <= self._budget:
                    return
                if path.suffix == ".npz":
                    path.unlink(missing_ok=True)
                    total -= status.st_size

    def _path(self, key: str) -> Path:
        return self._folder / f"{key}.npz"


def _written(outcome: Outcome) -> bytes:
    hold = outcome.hold
    words = _Words(
        solids=tuple(hold.solids),
        features=tuple((type(each).__name__, asdict(each)) for each in hold.features),
        findings=outcome.findings,
        placement=_rows(hold.placement),
        sized=hold.sized,
        result=outcome.result,
        pieces=outcome.pieces,
        followed=dict(outcome.followed),
        kept=outcome.kept,
        laid=None if hold.laid is None else _rows(hold.laid),
    )
    arrays: dict[str, np.ndarray[Any, Any]] = {
        _TEXT: np.frombuffer(_words().dump_json(words), dtype=np.uint8)
    }
    for name, solid in hold.solids.items():
        arrays[_VERTICES + name] = solid.vertices
        arrays[_TRIANGLES + name] = solid.triangles.astype(np.uint32)
    stream = io.BytesIO()
    np.savez(stream, allow_pickle=False, **arrays)
    return stream.getvalue()


def _rows(matrix: Floats) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(float(value) for value in row) for row in matrix)


def _read(content: bytes) -> Outcome:
    with np.load(io.BytesIO(content), allow_pickle=False) as arrays:
        words = _words().validate_json(arrays[_TEXT].tobytes())
        solids = {
            name: Solid.from_triangles(
                arrays[_VERTICES + name], arrays[_TRIANGLES + name].astype(np.int64), "the remembered solid"
            )
            for name in words.solids
        }
    hold = Hold(
        solids=MappingProxyType(solids),
        features=tuple(_features()[kind].validate_python(values) for kind, values in words.features),
        placement=np.array(words.placement).reshape(4, 4),
        sized=words.sized,
        laid=None if words.laid is None else np.array(words.laid).reshape(4, 4),
    )
    return Outcome(hold, words.findings, words.result, words.pieces, words.followed, words.kept)
