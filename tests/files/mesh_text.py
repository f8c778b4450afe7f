"""Mesh files put together by hand, and measures of what was read from them."""

import struct

import numpy as np
import pytest

from holdwright.geometry.mesh.sculpt import Sculpt

CUBE_VERTICES = [(x, y, z) for x in (-10.0, 10.0) for y in (-10.0, 10.0) for z in (-10.0, 10.0)]
CUBE_FACES = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
CUBE_TRIANGLES = [half for a, b, c, d in CUBE_FACES for half in ((a, b, c), (a, c, d))]
CUBE_VOLUME = 8000.0
CUBE_AREA = 2400.0


def obj(vertices=CUBE_VERTICES, faces=CUBE_TRIANGLES, number="{:.6f}", corner="{0}", end="\n") -> str:
    """Write OBJ lines; `corner` is filled with the vertex number, counted from 1."""
    lines = ["v " + " ".join(number.format(each) for each in vertex) for vertex in vertices]
    lines += ["f " + " ".join(corner.format(index + 1) for index in face) for face in faces]
    return end.join(lines) + end


def facets(triangles=CUBE_TRIANGLES, vertices=CUBE_VERTICES) -> list[list[tuple[float, ...]]]:
    """Give the corners of triangles, for STL."""
    return [[tuple(vertices[index]) for index in triangle] for triangle in triangles]


def text_stl(corners=None, name="cube", indent="  ", end="\n") -> str:
    """Write one solid of a text STL."""
    lines = [f"solid {name}"]
    for facet in facets() if corners is None else corners:
        lines += [f"{indent}facet normal 0 0 1", f"{indent}outer loop"]
        lines += [f"{indent}vertex {float(x)} {float(y)} {float(z)}" for x, y, z in facet]
        lines += [f"{indent}endloop", f"{indent}endfacet"]
    return end.join([*lines, f"endsolid {name}"]) + end


def binary_stl(corners=None, header=b"", count=None) -> bytes:
    """Write a binary STL, its count as asked."""
    corners = facets() if corners is None else corners
    body = b"".join(struct.pack("<12fH", 0, 0, 1, *np.ravel(facet), 0) for facet in corners)
    return header.ljust(80, b"\0") + struct.pack("<I", len(corners) if count is None else count) + body


def ply_header(order="ascii", vertices=8, faces=12, number="float", size="uchar", index="int") -> str:
    """Write a usual PLY header."""
    return (
        f"ply\nformat {order} 1.0\ncomment made up\nelement vertex {vertices}\n"
        f"property {number} x\nproperty {number} y\nproperty {number} z\n"
        f"element face {faces}\nproperty list {size} {index} vertex_indices\nend_header\n"
    )


def text_ply(faces=CUBE_TRIANGLES, vertices=CUBE_VERTICES, **header) -> str:
    """Write a text PLY."""
    lines = [" ".join(map(repr, vertex)) for vertex in vertices]
    lines += [" ".join(map(str, (len(face), *face))) for face in faces]
    return ply_header("ascii", len(vertices), len(faces), **header) + "\n".join(lines) + "\n"


def corners_of(sculpt: Sculpt) -> np.ndarray:
    """Give (m, 3, 3) corners of all triangles, in the file's own frame."""
    return np.concatenate([each.vertices[each.triangles] for each in sculpt.pieces]) + sculpt.origin


def volume(sculpt: Sculpt) -> float:
    """Signed volume by the divergence theorem, about the middle to keep its digits."""
    a, b, c = np.moveaxis(corners_of(sculpt) - corners_of(sculpt).mean(axis=(0, 1)), 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


def area(sculpt: Sculpt) -> float:
    """Area of all triangles."""
    a, b, c = np.moveaxis(corners_of(sculpt), 1, 0)
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


def is_the_cube(sculpt: Sculpt) -> bool:
    """Tell whether what was read is the cube, as one piece of that name."""
    measured = volume(sculpt), area(sculpt)
    named = [each.name for each in sculpt.pieces] == ["cube"]
    return named and measured == pytest.approx((CUBE_VOLUME, CUBE_AREA), rel=1e-12)
