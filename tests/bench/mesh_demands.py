"""Meshes nobody here made, what is demanded of each, and whether it was met."""

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

QUICK, REBUILDING = 20.0, 60.0
"""Seconds a mesh may take; the second where it was made anew."""

TRUE_VOLUME = 0.005
NEAR = 0.01
MOST_TRUE = 0.95

CLOSED = ("closed", "pieces", "self-overlapping")


@dataclass(frozen=True)
class Mesh:
    """A mesh at hand: what kind it is, and the volume two other libraries gave where they could."""

    name: str
    kind: str
    volume: float | None


@dataclass(frozen=True, eq=False)
class Row:
    """What became of a mesh; `met` has verdict, grade, volume, apart (a share of the diagonal), seconds."""

    mesh: Mesh
    met: dict[str, Any] = field(default_factory=dict)

    @property
    def off(self) -> float | None:
        """Share by which the volume, in file units or mm3, is off the reference."""
        found = [self.met[each] for each in ("volume", "volume_mm3") if self.met.get(each)]
        if not self.mesh.volume or not found:
            return None
        return min((float(each) / self.mesh.volume - 1.0 for each in found), key=abs)

    @property
    def verdict(self) -> str:
        """Short for the verdict."""
        return str(self.met["verdict"])

    @property
    def refused(self) -> bool:
        """Whether it was refused in a sentence."""
        return self.verdict == "refused"

    @property
    def solid(self) -> bool:
        """Whether a solid came of it."""
        return self.verdict in ("sound", "mended", "rebuilt")


def meshes(folder: Path) -> list[Mesh]:
    """List the meshes of a folder with `corpus.json` and `hostile/expected.json`."""
    found = [
        Mesh(row["file"], row.get("class") or _by_name(row["file"]), row.get("reference_volume"))
        for row in json.loads((folder / "corpus.json").read_text("utf-8"))
    ]
    hostile = folder / "hostile" / "expected.json"
    expected = json.loads(hostile.read_text("utf-8")) if hostile.is_file() else {}
    return found + [
        Mesh(f"hostile/{name}", row["verdict"], row.get("volume")) for name, row in expected.items()
    ]


def _by_name(name: str) -> str:
    """The 3MF Consortium's samples say in their names whether they are to be read."""
    return "must fail" if "MUSTFAIL" in name else "must pass"


@dataclass(frozen=True)
class Demand:
    """Something demanded of some rows."""

    words: str
    asked: Callable[[Row], bool]
    met: Callable[[Row], bool]
    share: float = 1.0


def _in_time(row: Row) -> bool:
    return float(row.met.get("seconds", 1e9)) <= (REBUILDING if row.met.get("grade") == "rebuilt" else QUICK)


def _true_volume(row: Row) -> bool:
    return row.off is not None and abs(row.off) <= TRUE_VOLUME


DEMANDS = (
    Demand("no crash, no traceback", lambda row: bool(row.verdict), lambda row: row.verdict != "CRASHES"),
    Demand("no hang over 20 s, 60 s where made anew", lambda row: bool(row.verdict), _in_time),
    Demand(
        "no volume off by over 0.5 % that nobody tells of",
        lambda row: row.solid and row.off is not None,
        lambda row: _true_volume(row) or bool(row.met.get("warned")),
    ),
    Demand(
        "closed, pieces, self-overlapping: volume within 0.5 % (95 % of them)",
        lambda row: row.mesh.kind in CLOSED and row.mesh.volume is not None,
        _true_volume,
        MOST_TRUE,
    ),
    Demand(
        "closed, pieces, self-overlapping: a solid",
        lambda row: row.mesh.kind in CLOSED,
        lambda row: row.solid,
    ),
    Demand(
        "open: a solid, or refused as a sheet",
        lambda row: row.mesh.kind == "open",
        lambda row: row.solid or "sheet" in row.met["told"],
    ),
    Demand(
        "open: all of the sculpt within 1 % of its diagonal",
        lambda row: row.mesh.kind == "open" and row.solid,
        lambda row: row.met["apart"] <= NEAR,
    ),
    Demand(
        "no solid, unreadable: refused",
        lambda row: row.mesh.kind in ("no solid", "unreadable"),
        lambda row: row.refused,
    ),
    Demand(
        "hostile: refused where it must be", lambda row: row.mesh.kind == "refuse", lambda row: row.refused
    ),
    Demand(
        "hostile: a solid where it can be",
        lambda row: row.mesh.kind in ("accept", "repair"),
        lambda row: row.solid,
    ),
    Demand("3MF samples that must fail", lambda row: row.mesh.kind == "must fail", lambda row: row.refused),
    Demand("3MF samples that must pass", lambda row: row.mesh.kind == "must pass", lambda row: row.solid),
    Demand("a solid that is closed as written", lambda row: row.solid, lambda row: bool(row.met["closed"])),
    Demand(
        "starter recipe: closed shell and core that fill the whole",
        lambda row: row.solid and "finished" in row.met,
        lambda row: row.met["finished"] == "",
    ),
)


def print_summary(rows: list[Row]) -> None:
    """Print how far each demand was met, and by which meshes not."""
    print("\ndemand" + " " * 66 + "met")
    for demand in DEMANDS:
        asked = [row for row in rows if demand.asked(row)]
        missed = [row for row in asked if not demand.met(row)]
        if not asked:
            continue
        good = len(asked) - len(missed)
        verdict = "" if good >= demand.share * len(asked) else "  MISSED"
        names = f": {', '.join(row.mesh.name for row in missed)}" if missed else ""
        print(f"{demand.words:<72}{good:>4} of {len(asked)}{verdict}{names}")
