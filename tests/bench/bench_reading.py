"""Times the readers beside VTK's bare readers on the same files, in one process.

    python tests/bench/bench_reading.py                  all of it (some minutes)
    python tests/bench/bench_reading.py 10000 100000     these sizes only

Our side is the whole of `read_sculpt`: every check, names of groups, digest, pieces, triangles for quads.
VTK's readers check nothing, make no pieces and leave quads as they are. Pairs are interleaved, and the median
of their ratios is what counts.
"""

import argparse
import statistics
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT / "app"), str(ROOT / "tests")]

from vtkmodules.vtkIOGeometry import vtkOBJReader, vtkSTLReader  # noqa: E402
from vtkmodules.vtkIOPLY import vtkPLYReader  # noqa: E402

from bench.timing import peak_memory, peak_of, timed  # noqa: E402
from holdwright.files.reading import read_sculpt  # noqa: E402
from holdwright.files.writing import rows_text  # noqa: E402

SIZES = (10_000, 100_000, 500_000, 2_000_000)
PAIRS = 5
GROUPS = 100
LARGE = 2_000_000
CORNERS = {
    "OBJ": "{0}",
    "OBJ v//vn": "{0}//{0}",
    "OBJ v/vt/vn": "{0}/{0}/{0}",
}


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description="Time the readers beside VTK's.")
    asked.add_argument("sizes", nargs="*", type=int, default=SIZES, help="triangles")
    asked.add_argument("--pairs", type=int, default=PAIRS)
    asked.add_argument("--peak", type=Path, help="read this file once and print the peak memory in bytes")
    arguments = asked.parse_args()
    if arguments.peak:
        print(_peak_here(arguments.peak))
        return
    print("file                triangles     MB    ours s     VTK s  ours/VTK")
    with tempfile.TemporaryDirectory() as folder:
        for size in arguments.sizes:
            for name, path in _files(Path(folder), size):
                _print_row(name, path, size, arguments.pairs)
                if size >= LARGE:
                    print(f"    peak memory: {peak_of(__file__, path) / 2**30:.2f} GiB", flush=True)
                path.unlink()


def _print_row(name: str, path: Path, size: int, pairs: int) -> None:
    ours, bare = [], []
    read_sculpt(path)
    for _ in range(pairs):
        bare.append(timed(lambda: _bare(path))[1])
        ours.append(timed(lambda: _checked(path, size))[1])
    ratio = statistics.median(mine / other for mine, other in zip(ours, bare, strict=True))
    megabytes = path.stat().st_size / 1e6
    print(
        f"{name:18s} {size:10,d} {megabytes:6.1f} {statistics.median(ours):9.3f} "
        f"{statistics.median(bare):9.3f} {ratio:9.2f}",
        flush=True,
    )


def _checked(path: Path, size: int) -> None:
    """Read, and refuse to time a reading of something else."""
    count = read_sculpt(path).triangle_count
    if abs(count - size) > 0.02 * size:
        raise ValueError(f"{path.name} was to give {size} triangles and gave {count}.")


def _bare(path: Path) -> None:
    reader = {".obj": vtkOBJReader, ".stl": vtkSTLReader, ".ply": vtkPLYReader}[path.suffix]()
    reader.SetFileName(str(path))
    reader.Update()


def _files(folder: Path, size: int) -> Iterator[tuple[str, Path]]:
    """Write a hundred rings in each format, one after the other."""
    rings = [_ring(size // GROUPS, 200.0 * number) for number in range(GROUPS)]
    for name, corner in CORNERS.items():
        path = folder / "rings.obj"
        _write_obj(path, rings, corner)
        yield name, path
    path = folder / "quads.obj"
    _write_obj(path, [(vertices, np.column_stack([f[::2], f[1::2, 2]])) for vertices, f in rings], "{0}")
    yield "OBJ quads", path
    path = folder / "rings.stl"
    _write_stl(path, rings)
    yield "STL binary", path
    path = folder / "rings.ply"
    _write_ply(path, rings)
    yield "PLY binary", path


def _ring(triangles: int, shift: float) -> tuple[np.ndarray, np.ndarray]:
    """Give a closed ring of about so many triangles, two halves of a quad one after the other."""
    around = max(3, int(np.sqrt(triangles / 2)))
    across = max(3, round(triangles / 2 / around))
    u, v = np.meshgrid(
        *(np.linspace(0, 2 * np.pi, count, endpoint=False) for count in (around, across)), indexing="ij"
    )
    radius = 50.0 + 20.0 * np.cos(v)
    vertices = np.stack([shift + radius * np.cos(u), radius * np.sin(u), 20.0 * np.sin(v)], axis=-1)
    row, column = np.meshgrid(np.arange(around), np.arange(across), indexing="ij")
    number = np.arange(around * across).reshape(around, across)
    a, b = number, number[(row + 1) % around, column]
    c, d = number[(row + 1) % around, (column + 1) % across], number[row, (column + 1) % across]
    return vertices.reshape(-1, 3), np.stack([a, b, c, a, c, d], axis=-1).reshape(-1, 3)


def _write_obj(path: Path, rings: list[tuple[np.ndarray, np.ndarray]], corner: str) -> None:
    first = 1
    with path.open("wb") as stream:
        for number, (vertices, faces) in enumerate(rings):
            stream.write(f"o ring_{number}\n".encode())
            _write_rows(stream, "v %.7f %.7f %.7f\n", vertices)
            if "//" in corner or corner.count("/") > 1:
                _write_rows(stream, "vn %.4f %.4f %.4f\n", vertices / 1000.0)
            if corner.count("{") == 3 and "//" not in corner:
                _write_rows(stream, "vt %.4f %.4f\n", vertices[:, :2] / 1000.0)
            each = corner.count("{")
            form = " ".join([corner.replace("{0}", "%d")] * faces.shape[1])
            _write_rows(stream, f"f {form}\n", np.repeat(faces + first, each, axis=1))
            first += len(vertices)


def _write_rows(stream, form: str, rows: np.ndarray) -> None:
    for text in rows_text(form, rows):
        stream.write(text)


def _together(rings: list[tuple[np.ndarray, np.ndarray]]) -> tuple[np.ndarray, np.ndarray]:
    firsts = np.cumsum([0] + [len(vertices) for vertices, _ in rings[:-1]])
    faces = [faces + first for (_, faces), first in zip(rings, firsts, strict=True)]
    return np.concatenate([vertices for vertices, _ in rings]).astype("<f4"), np.concatenate(faces)


def _write_stl(path: Path, rings: list[tuple[np.ndarray, np.ndarray]]) -> None:
    vertices, faces = _together(rings)
    facets = np.zeros(len(faces), np.dtype([("n", "<f4", 3), ("corners", "<f4", (3, 3)), ("a", "<u2")]))
    facets["corners"] = vertices[faces]
    path.write_bytes(bytes(80) + np.uint32(len(faces)).tobytes() + facets.tobytes())


def _write_ply(path: Path, rings: list[tuple[np.ndarray, np.ndarray]]) -> None:
    vertices, faces = _together(rings)
    rows = np.zeros(len(faces), np.dtype([("size", "u1"), ("corners", "<i4", 3)]))
    rows["size"], rows["corners"] = 3, faces
    header = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(vertices)}\nproperty float x\n"
        f"property float y\nproperty float z\nelement face {len(faces)}\n"
        "property list uchar int vertex_indices\nend_header\n"
    )
    path.write_bytes(header.encode() + vertices.tobytes() + rows.tobytes())


def _peak_here(path: Path) -> int:
    read_sculpt(path)
    return peak_memory()


if __name__ == "__main__":
    main()
