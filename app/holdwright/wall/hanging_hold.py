"""A finished hold as it hangs: its outlines, bores and screws, true to size in its own frame."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from holdwright.errors import InputError
from holdwright.export.file_names import report_name
from holdwright.export.read_back import read_3mf_back
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.footprint import footprint
from holdwright.geometry.mesh.frame import move_points, placement
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.finding_builder import counted
from holdwright.sets.known_files import REPORT


@dataclass(frozen=True, eq=False)
class HangingHold:
    """What of a hold matters on a wall; mm, x to the right and y up as it was sculpted."""

    name: str
    outline: Floats
    """Outline (n, 2) of all of it, seen from the front."""
    bores: tuple[tuple[float, float], ...]
    screws: tuple[tuple[float, float], ...]
    """Where bolts and wood screws go into the wall; the first bore goes to its T-nut."""
    play: float
    """How far a further bore may be off its T-nut: what its hole and slot leave the bolt."""
    bolts: tuple[str, ...]
    spare: float
    """Names of the bolts, and how much thicker a panel the shortest still reaches through; a bolt of unknown
    length has endless spare."""
    panel: float
    """Thickness that the bolts were chosen for, mm; 0 where that is not known."""
    one_way_up: bool


def hanging_holds(folder: Path) -> Mapping[str, tuple[HangingHold, int]]:
    """Read the finished holds of a set, and how many there are of each, by name.

    Raises
    ------
    InputError
        When the folder is no finished set's, or a hold's files are not there.
    """
    if folder.is_dir() and not (folder / REPORT).is_file():
        begun = sum((each / report_name(each.name)).is_file() for each in folder.iterdir())
        state = (
            f"only {counted(begun, 'hold')} of a set finished, not all of it" if begun else "no finished set"
        )
        raise InputError(f"{folder} has {state}; finish the set there, then choose its folder again.")
    try:
        told = json.loads((folder / REPORT).read_bytes())
        listed = [(hold["name"], hold["count"]) for hold in told["holds"] if "key" in hold]
        return {name: (_read(folder / name, name), count) for name, count in listed}
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise InputError(
            f"{folder} is no folder of a finished set ({error}); open the set, finish it with 3MF among the "
            "formats, and choose its folder again."
        ) from None


def _read(folder: Path, name: str) -> HangingHold:
    report = json.loads((folder / report_name(name)).read_bytes())
    back = np.linalg.inv(_pose(report["pose"]))
    meshes = read_3mf_back(folder / f"{name}.3mf")
    factor = next(iter(report["allowances"]["shrinkage"].values()))["factor"]
    back = back / np.array([[factor], [factor], [factor], [1.0]])
    outline = footprint(
        Mesh(move_points(back, np.asarray(mesh.vertices, np.float64)), mesh.triangles) for mesh in meshes
    )
    bores, joint = report["features"]["bores"], report["joint"]
    bolts = [bore["bolt"] for bore in joint["bores"]] if joint else []
    play = min((bore["slot"] + bore["clearance_diameter"] for bore in bores), default=0.0)
    return HangingHold(
        name,
        outline,
        tuple((bore["x"], bore["y"]) for bore in bores),
        tuple((screw["x"], screw["y"]) for screw in report["features"]["screw_holes"]),
        play / 2.0,
        tuple(bolt["name"] for bolt in bolts),
        min((bolt["length_mm"] - bolt["shortest_mm"] for bolt in bolts), default=np.inf),
        joint["conditions"]["panel_mm"] if joint else 0.0,
        bool(joint and joint["conditions"]["one_way_up"]),
    )


def _pose(pose: Mapping[str, Any]) -> Floats:
    angle = np.radians(pose["turn"])
    cos, sin = np.cos(angle), np.sin(angle)
    linear = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
    return placement(linear, np.array(pose["shift"]))
