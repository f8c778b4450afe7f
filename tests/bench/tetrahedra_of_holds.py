"""Asks quadratic tetrahedra for the stress and deflection of finished samples.

``python tests/bench/tetrahedra_of_holds.py [SAMPLE ...]`` writes the table
`tests/outside/holds_by_tetrahedra.toml` anew. It needs a mesher (`pip install pytetwild`), and some minutes
and GB for each sample.
"""

import sys
import time
from contextlib import chdir
from importlib.metadata import version
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytetwild
import skfem

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.views.strength_view import loaded_hold
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import SILENT
from holdwright.resources import sample_folder
from holdwright.strength.hold_model import POISSON
from holdwright.strength.hold_strength import worst_loads
from holdwright.strength.load_cases import PatchLoad
from holdwright.strength.loaded_hold import LoadedHold
from holdwright.strength.printed_parts import printed_parts
from known_holds import SOLID, TABLE, Row, loaded_by, modulus, patches_of, plain_recipe
from tetrahedra import QuadraticBody, TetrahedraOnWall

SAMPLES = ("hall-crimp", "hall-jug")

EDGES = (5.0, 3.0)
"""Aimed at, mm: the last is what counts, the first tells how far it is from the truth."""

LOADS = 2
"""The worst of them."""

Found = tuple[dict[str, float], list[tuple[float, float]]]
"""Size of a mesh, and stress and deflection under each load."""

ENVELOPE = 0.1
"""How far the surface of the tetrahedra may be from the solid's, mm."""


def loaded_sample(name: str) -> tuple[LoadedHold, list[PatchLoad]]:
    """A finished sample as its joint loads it, and its worst loads."""
    catalogue, recipe = load_catalogue(), plain_recipe()
    path = sample_folder() / f"{name}.obj"
    sculpt = read_sculpt(path)
    context = WorkContext(recipe, path, lambda _: sculpt, catalogue, Cache(), SILENT, lambda _: None)
    last = tuple(context.steps(sculpt, SILENT))[-1]
    loaded = loaded_hold(last.hold, last.key, context)
    parts = printed_parts(loaded.parts, SOLID, catalogue)
    return loaded, worst_loads(loaded, parts, SOLID, SILENT)[:LOADS]


def meshed(solid: Solid, edge: float) -> skfem.MeshTet:
    """Tetrahedra whose surface is within `ENVELOPE` of the solid's."""
    diagonal = float(np.linalg.norm(solid.size))
    with TemporaryDirectory() as folder, chdir(folder):  # the mesher leaves files where it is called
        vertices, tetrahedra = pytetwild.tetrahedralize(
            solid.vertices.copy(),  # it takes none that may not be written to
            solid.triangles.astype(np.uint32),
            edge_length_fac=edge / diagonal,
            epsilon=ENVELOPE / diagonal,
            num_threads=1,
        )
    return skfem.MeshTet(np.ascontiguousarray(vertices.T), np.ascontiguousarray(tetrahedra.T))


def found_by(solid: Solid, row: Row, edge: float) -> Found:
    """Size of the mesh, and stress and deflection under each load."""
    mesh = meshed(solid, edge)
    body = QuadraticBody(mesh, modulus(), POISSON)
    held = TetrahedraOnWall(body, loaded_by(solid, row))
    size = {
        "edge": edge,
        "tetrahedra": mesh.nelements,
        "unknowns": body.basis.N,
        "volume": float(body.basis.dx.sum()),
    }
    return size, [held.under(patch) for patch in patches_of(solid, row)]


def asked(name: str) -> str:
    """A row of the table."""
    loaded, patches = loaded_sample(name)
    (bolt,) = loaded.bolts
    row = {
        "wall": loaded.wall,
        "bolt": {
            "seat": bolt.seat.tolist(),
            "hole": bolt.hole,
            "pressing": bolt.pressing,
            "pull": bolt.pull,
            "stiffness": bolt.stiffness,
        },
        "load": [{"force": each.force.tolist(), "at": each.middle.tolist()} for each in patches],
    }
    found = []
    for edge in EDGES:
        begun = time.perf_counter()
        found.append(found_by(loaded.whole, row, edge))
        size, values = found[-1]
        print(f"{name}: {size}, {values}, {time.perf_counter() - begun:.0f} s", flush=True)
    return row_text(name, loaded.whole.volume, row, found)


def row_text(name: str, volume: float, row: Row, found: list[Found]) -> str:
    """Write a row of the table: what is found last counts."""
    lines = ["[[hold]]", f"sample = {plain(name)}", f"volume = {plain(volume)}"]
    lines += [f"{key} = {plain(row[key])}" for key in ("wall", "bolt")]
    lines += [f"meshes = {plain([size for size, _ in found])}", "load = ["]
    for number, load in enumerate(row["load"]):
        figures = {
            "exceeded": [values[number][0] for _, values in found],
            "deflection": [values[number][1] for _, values in found],
        }
        lines.append(f"  {plain({**load, **figures})},")
    return "\n".join([*lines, "]", ""])


def plain(value: object) -> str:
    """Write a value as TOML does."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {plain(each)}" for name, each in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(plain, value)) + "]"
    return (
        f"{value:.6g}" if isinstance(value, float) else f'"{value}"' if isinstance(value, str) else f"{value}"
    )


def main(names: list[str]) -> None:
    """Write the table."""
    words = ", ".join(f"{each} {version(each)}" for each in ("pytetwild", "scikit-fem"))
    head = (
        "# Solid samples under one bolt and their worst loads by quadratic tetrahedra: MPa that 200 mm3\n"
        "# exceed, and mm that the loaded patch moves along its load, on each of the meshes. Written by\n"
        f"# tests/bench/tetrahedra_of_holds.py with {words}.\n"
    )
    TABLE.write_text("\n".join([head, *map(asked, names)]), "utf-8")


if __name__ == "__main__":
    main(sys.argv[1:] or list(SAMPLES))
