"""Plates: the parts of a set laid out on printers' beds, each plate one 3MF."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np

from holdwright.export.about import COLOURS
from holdwright.export.formats import FORMATS
from holdwright.files.write_3mf import About, BaseMaterial, write_3mf
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.footprint import footprint
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.single_precision import PrintedMesh
from holdwright.hold.hold import SHELL
from holdwright.progress import Progress
from holdwright.sets.benches import Do
from holdwright.sets.packing import PackedOutline, Packing, pack
from holdwright.sets.run_set import MadeHold

FORMAT: Final = "3mf"
"""Plates are put together from the holds' files of this format."""


@dataclass(frozen=True, eq=False)
class Plate:
    """One print."""

    file: str
    printer: str
    bed: tuple[float, float]
    """Name of the printer, width and depth of its bed, mm."""
    placed: tuple[PackedOutline, ...]
    """Holds by name, from where their own files have them."""
    density: float
    """Share of the bed that is covered."""
    outlines: Mapping[str, Floats]
    """Outline (n, 2) of each hold as its own file has it, mm."""

    @property
    def plain(self) -> dict[str, Any]:
        """For the set's report."""
        holds = [{"name": each.name, "turn_deg": each.turn, "shift_mm": each.shift} for each in self.placed]
        covered = round(self.density, 3)
        return {"file": self.file, "printer": self.printer, "covered": covered, "holds": holds}


@dataclass(frozen=True)
class PlatesLaid:
    """All plates, and why a hold is on none."""

    plates: tuple[Plate, ...]
    left_out: Mapping[str, str]
    """Sentence by name of hold."""


@dataclass(frozen=True)
class OutlineWork:
    """The outline of a hold's parts together, as its file has them."""

    file: Path

    def do(self, _progress: Progress) -> Floats:
        """Give it (n, 2), mm."""
        return footprint(map(_mesh, FORMATS[FORMAT].read_back(self.file)))


@dataclass(frozen=True, eq=False)
class PlateWork:
    """A plate to be written."""

    plate: Plate
    parts: Mapping[str, Sequence[str]]
    """Names of the parts of each hold on it."""
    out: Path
    """The set's folder."""
    path: Path

    def do(self, _progress: Progress) -> None:
        """Write it; raises `OSError` when the disk refuses."""
        write_plate(self.plate, self.parts, self.out, self.path)


def lay_plates(made: Sequence[MadeHold], out: Path, do: Do) -> PlatesLaid:
    """Lay out all holds that have their 3MF, as often as they are wanted, by the printer each is for.

    Parameters
    ----------
    do
        Does works, and gives their results in order.
    """
    left_out: dict[str, str] = {}
    by_printer: dict[str, dict[str, MadeHold]] = {}
    for each in made:
        name = each.hold.name
        if not each.report:
            continue
        if not _file(name, out).is_file() or each.report["pose"]["build_volume"] is None:
            left_out[name] = (
                "It is on no plate: plates take its 3MF in the pose for printing; export that too."
            )
        else:
            by_printer.setdefault(each.report["pose"]["printer"], {})[name] = each
    plates: list[Plate] = []
    for printer, holds in by_printer.items():
        bed = next(iter(holds.values())).report["pose"]["build_volume"]
        read = do([OutlineWork(_file(name, out)) for name in holds])
        outlines = dict(zip(holds, read, strict=True))
        counts = {name: each.hold.count for name, each in holds.items()}
        packed = pack(outlines, counts, Packing((bed[0], bed[1])), do)
        left_out |= dict.fromkeys(
            packed.too_large,
            f"It is on no plate: the bed of '{printer}' is too small for it; choose another.",
        )
        for laid in packed.beds:
            held = {each.name: outlines[each.name] for each in laid.placed}
            file = f"plate-{len(plates) + 1:02d}.3mf"
            plates.append(Plate(file, printer, (bed[0], bed[1]), laid.placed, laid.density, held))
    return PlatesLaid(tuple(plates), left_out)


def write_plate(plate: Plate, parts: Mapping[str, Sequence[str]], out: Path, path: Path) -> None:
    """Write a plate: the parts of each hold once, and where its copies lie; names of parts by hold."""
    meshes: dict[str, PrintedMesh] = {}
    places: dict[str, list[Floats]] = {}
    materials: dict[str, BaseMaterial] = {}
    for name in dict.fromkeys(each.name for each in plate.placed):
        read = FORMATS[FORMAT].read_back(_file(name, out))
        for part, mesh in zip(parts[name], read, strict=True):
            meshes[f"{name} {part}"] = mesh
            colour = COLOURS.get(part, COLOURS[SHELL])
            materials[f"{name} {part}"] = BaseMaterial(part if part in COLOURS else SHELL, colour)
            places[f"{name} {part}"] = [_matrix(each) for each in plate.placed if each.name == name]
    about = About(plate.file.removesuffix(".3mf"), {"Description": plate.printer}, materials, places=places)
    with path.open("wb") as stream:
        write_3mf(stream, meshes, about)


def _matrix(placed: PackedOutline) -> Floats:
    turn = np.radians(placed.turn)
    cos, sin = np.cos(turn), np.sin(turn)
    linear = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
    return placement(linear, np.array([*placed.shift, 0.0]))


def _file(name: str, out: Path) -> Path:
    return out / name / f"{name}.{FORMAT}"


def _mesh(printed: PrintedMesh) -> Mesh:
    return Mesh(printed.vertices.astype(np.float64), printed.triangles)
