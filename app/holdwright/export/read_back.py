"""Reads the files we write, and only those, to see that the disk holds what was meant."""

import re
import zipfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from holdwright.files.read_stl import FACET_RECORD
from holdwright.files.write_3mf import MODEL, TRIANGLE, VERTEX
from holdwright.files.writing import FACE, HEADER
from holdwright.geometry.mesh.single_precision import PrintedMesh


def read_stl_back(path: Path) -> list[PrintedMesh]:
    """Read a binary STL; its triangles share no vertices."""
    content = path.read_bytes()
    start = len(HEADER) + 4
    count = int(np.frombuffer(content[start - 4 : start], dtype="<u4")[0])
    records = np.frombuffer(content[start:], dtype=FACET_RECORD)
    if len(records) != count:
        raise ValueError(f"{path.name} announces {count} triangles and holds {len(records)}")
    vertices = np.array(records["corners"], dtype=np.float32).reshape(-1, 3)
    return [PrintedMesh(vertices, np.arange(len(vertices)).reshape(-1, 3))]


def read_ply_back(path: Path) -> list[PrintedMesh]:
    """Read a binary PLY."""
    header, _, body = path.read_bytes().partition(b"end_header\n")
    counts = [int(number) for number in re.findall(rb"^element \w+ (\d+)$", header, re.MULTILINE)]
    vertices = np.frombuffer(body, dtype="<f4", count=3 * counts[0]).astype(np.float32).reshape(-1, 3)
    faces = np.frombuffer(body[vertices.nbytes :], dtype=FACE)
    if len(faces) != counts[1]:
        raise ValueError(f"{path.name} announces {counts[1]} triangles and holds {len(faces)}")
    return [PrintedMesh(vertices, faces["vertices"].astype(np.int64))]


def read_obj_back(path: Path) -> list[PrintedMesh]:
    """Read an OBJ of one part."""
    content = path.read_bytes()
    first, second = content.index(b"\nv ") + 1, content.index(b"\nf ") + 1
    vertices = _numbers(content[first:second].replace(b"v ", b""), 3 * content.count(b"\nv "))
    faces = _numbers(content[second:].replace(b"f ", b""), 3 * content.count(b"\nf "))
    return [_mesh(vertices, faces - 1)]


def read_3mf_back(path: Path) -> list[PrintedMesh]:
    """Read the meshes of a 3MF in the order of its objects; the package's check sums are looked at too."""
    with zipfile.ZipFile(path) as package:
        model = package.read(MODEL)
    meshes = []
    for content in model.split(b"<vertices>\n")[1:]:
        vertices, _, rest = content.partition(b"</vertices>\n<triangles>\n")
        triangles = rest.partition(b"</triangles>\n")[0]
        meshes.append(_mesh(_bare_numbers(vertices, VERTEX), _bare_numbers(triangles, TRIANGLE)))
    return meshes


def _bare_numbers(text: bytes, template: str) -> NDArray[np.float64]:
    """Take the words of a row's template off, so that only its numbers stay."""
    words = re.split(r"%\.9g|%d", template)
    rows = text.count(b"\n")
    for word in words[:-1]:
        text = text.replace(word.encode(), b" ")
    return _numbers(text.replace(words[-1].encode(), b"\n"), rows * (len(words) - 1))


def _numbers(text: bytes, count: int) -> NDArray[np.float64]:
    numbers = np.array(text.split(), dtype=np.float64)
    if len(numbers) != count:
        raise ValueError(f"{count} numbers were expected and {len(numbers)} found")
    return numbers


def _mesh(vertices: NDArray[np.float64], triangles: NDArray[np.float64]) -> PrintedMesh:
    return PrintedMesh(vertices.astype(np.float32).reshape(-1, 3), triangles.astype(np.int64).reshape(-1, 3))
