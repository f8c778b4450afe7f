"""PLY in text and binary. Layout: Greg Turk, The PLY polygon file format (1994)."""

import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from files.mesh_text import (
    CUBE_FACES,
    CUBE_TRIANGLES,
    CUBE_VERTICES,
    CUBE_VOLUME,
    area,
    is_the_cube,
    ply_header,
    text_ply,
    volume,
)
from holdwright.errors import InputError
from holdwright.files import ply_tables
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.sculpt import Sculpt

CODES = dict(char="b", uchar="B", short="h", ushort="H", int="i", float="f", double="d")  # noqa: C408
MIXED = CUBE_FACES[:3] + CUBE_TRIANGLES[6:]


def binary_ply(order="little", faces=CUBE_TRIANGLES, number="float", size="uchar", index="int") -> bytes:
    sign = "<" if order == "little" else ">"
    header = ply_header(f"binary_{order}_endian", 8, len(faces), number=number, size=size, index=index)
    cast = float if number in ("float", "double") else int
    body = b"".join(struct.pack(f"{sign}3{CODES[number]}", *map(cast, vertex)) for vertex in CUBE_VERTICES)
    for face in faces:
        body += struct.pack(f"{sign}{CODES[size]}", len(face))
        body += struct.pack(f"{sign}{len(face)}{CODES[index]}", *face)
    return header.encode() + body


@pytest.fixture
def read(tmp_path):
    def reader(content: str | bytes) -> Sculpt:
        path: Path = tmp_path / "cube.ply"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_sculpt(path)

    return reader


def with_extras() -> str:
    """Give a file with elements and properties nobody asked for, before, among and after those asked for."""
    head, body = text_ply(MIXED).split("end_header\n")
    lines = body.splitlines()
    head = head.replace("element vertex", "element camera 2\nproperty list int float view\nelement vertex")
    head = head.replace(
        "property float x", "property uchar red\nproperty list uchar float weights\nproperty float x"
    )
    head = head.replace(
        "property list uchar int v",
        "property list uchar float texcoord\nproperty int flag\nproperty list uchar int v",
    )
    head += "property float area\nelement edge 1\nproperty int first\n"
    vertices = [f"255 {number % 3}{' 0.5' * (number % 3)} {line}" for number, line in enumerate(lines[:8])]
    faces = [
        f"{2 * (number % 2)}{' 0.25 1' * (number % 2)} 7 {line} 1.5" for number, line in enumerate(lines[8:])
    ]
    return head + "end_header\n" + "\n".join(["1 0.5", "3 1 2 3", *vertices, *faces, "4"]) + "\n"


GOOD = {
    "text": text_ply(),
    "polygons": text_ply(CUBE_FACES),
    "mixed polygons": text_ply(MIXED),
    "spelt vertex_index": text_ply().replace("vertex_indices", "vertex_index"),
    "dos": text_ply().replace("\n", "\r\n"),
    "old mac": text_ply().replace("\n", "\r"),
    "begins with a blank line": "\n" + text_ply(),
    "extras": with_extras(),
    "comments": text_ply().replace("element", "comment end_header is not here\nobj_info x\nelement", 1),
    "a long comment": text_ply().replace("made up", "x" * 1_000_000),
    "blanks": text_ply().replace(" ", "  ").replace("-10.0", "-10.0\n"),
    "sized names of kinds": text_ply(number="float64", size="uint8", index="int32"),
    "whole numbers": text_ply(number="int").replace(".0", ""),
    "little": binary_ply("little"),
    "big": binary_ply("big"),
    "little mixed": binary_ply("little", MIXED),
    "big mixed": binary_ply("big", MIXED, size="int"),
    "doubles": binary_ply("big", number="double"),
    "shorts": binary_ply("big", CUBE_FACES, number="short", size="ushort", index="ushort"),
    "chars": binary_ply("little", CUBE_FACES, number="char", size="char", index="char"),
    "header for dos": binary_ply().partition(b"end_header\n")[0].replace(b"\n", b"\r\n")
    + b"end_header\r\n"
    + binary_ply().partition(b"end_header\n")[2],
}  # fmt: skip


@pytest.mark.parametrize("name", GOOD)
def test_every_way_of_writing_a_cube_gives_the_cube(read, name):
    sculpt = read(GOOD[name])
    assert is_the_cube(sculpt)
    assert not sculpt.notes


@pytest.mark.parametrize("name", GOOD)
def test_rows_walked_one_by_one_give_the_same(read, name, monkeypatch):
    monkeypatch.setattr(ply_tables, "_rows_alike", lambda *_: None)
    assert volume(read(GOOD[name])) == pytest.approx(CUBE_VOLUME, rel=1e-12)


def changed(old: str, new: str, **faces) -> str:
    text = text_ply(**faces)
    assert old in text
    return text.replace(old, new, 1)


REFUSED = {
    "no end of the header": (text_ply().replace("end_header", "comment"), "header has no end"),
    "no format": (changed("format ascii 1.0\n", ""), "no format line"),
    "unknown format": (changed("ascii", "tea_leaves"), "line 2 of its header"),
    "unknown kind": (changed("float y", "quad y"), 'line 6 of its header, "property quad y", makes no sense'),
    "other version": (changed("1.0", "2.0"), 'PLY version "2.0", and only 1.0 is read'),
    "keyword misspelled": (changed("property float y", "proprety float y"), "line 6 of its header"),
    "keyword in capitals": (changed("property float y", "PROPERTY float y"), "line 6 of its header"),
    "property of unknown keyword": (changed("property float y", "field float y"), "line 6 of its header"),
    "element misspelled": (changed("element face 12", "elemnt face 12"), "line 8 of its header"),
    "property first": (changed("comment made up", "property int x"), "line 3 of its header"),
    "negative count": (changed("face 12", "face -12"), "line 8 of its header"),
    "a count in words": (changed("face 12", "face twelve"), "line 8 of its header"),
    "element twice": (changed("comment made up", "element vertex 0"), "names an element twice"),
    "real list sizes": (changed("list uchar", "list float"), "line 9 of its header"),
    "no z": (changed("float z", "float w"), "no z coordinate"),
    "no vertices": (changed("vertex 8", "vertex 0"), "no vertices"),
    "no faces": (text_ply([]), "vertices but no faces; export the sculpt as a mesh"),
    "no corners": (changed("vertex_indices", "vertices"), "no list of vertices"),
    "absurd vertices": (changed("vertex 8", f"vertex {10**18}"), "000,000,000 vertices, but the file is"),
    "absurd faces": (changed("face 12", "face 4000000000"), "4,000,000,000 faces, but the file is too"),
    "absurd others": (changed("comment made up", f"element e {10**15}\nproperty int a"), "the file is too"),
    "more than counted": (changed("face 12", "face 14"), "a list in face 12 .* no sensible length"),
    "cut": (binary_ply()[:-3], "counts 12 faces|no sensible length"),
    "cut in text": (text_ply()[:-8], "counts 12 faces|no sensible length"),
    "index too large": (changed("3 0 1 3", "3 0 1 8"), "face 0 .* names vertex 8, .* has vertices 0 to 7"),
    "index negative": (changed("3 0 1 3", "3 0 1 -1"), "face 0 .* names vertex -1"),
    "index no whole number": (changed("3 0 1 3", "3 0 1 2.5"), "face 0"),
    "list size no whole number": (changed("3 0 1 3", "2.5 0 1 3"), "list in face 0"),
    "list size negative": (binary_ply(size="char").replace(b"\3\0\0\0\0\1", b"\xff\0\0\0\0\1"), "in face 0"),
    "list size huge": (changed("3 0 1 3", "1e300 0 1 3"), "list in face 0"),
    "a word": (changed("-10.0 -10.0 -10.0", "-10.0 ten -10.0"), 'line 11 has "ten" where a number belongs'),
    "two numbers in a word": (changed("-10.0 -10.0", "-10.0-10.0"), 'line 11 has "-10.0-10.0" where'),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_damaged_files_are_refused_with_the_reason(read, name):
    content, reason = REFUSED[name]
    with pytest.raises(InputError, match=reason):
        read(content)


def test_what_the_header_does_not_count_is_noted(read):
    sculpt = read(changed("face 12", "face 6"))
    assert sculpt.triangle_count == 6
    assert sculpt.notes[0].startswith("24 numbers after all that the header counts were left unread")
    sculpt = read(binary_ply() + b"x")
    assert sculpt.notes[0].startswith("1 byte after all that the header counts was left unread")


@pytest.mark.parametrize("content", [text_ply(), binary_ply()])
def test_a_header_line_of_no_keyword_is_passed_over_and_noted(read, content):
    text = content if isinstance(content, bytes) else content.encode()
    for line in (b"zipper output", b"scanned by hand, 12 days"):
        text = text.replace(b"element vertex", line + b"\nelement vertex", 1)
    sculpt = read(text)
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME, rel=1e-12)
    (note,) = sculpt.notes
    assert '"zipper output" and 1 line more' in note


@pytest.mark.parametrize("make", [text_ply, lambda faces: binary_ply("big", faces)])
def test_faces_that_are_none_are_dropped_with_a_note(read, make):
    sculpt = read(make(faces=[(), *CUBE_TRIANGLES, (1, 2), (3, 3, 4), (5,)]))
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME)
    assert sculpt.notes == ("4 faces with fewer than three different corners were left out.",)


@pytest.mark.parametrize("encoding", ["ascii", "binary"])
def test_many_triangles_agree_with_another_reader(tmp_path, encoding):
    """Second opinion: trimesh, a general-purpose library, on a mesh it made and wrote itself."""
    mesh = trimesh.creation.torus(30.0, 10.0, major_sections=90, minor_sections=50)
    (tmp_path / "torus.ply").write_bytes(mesh.export(file_type="ply", encoding=encoding))
    sculpt = read_sculpt(tmp_path / "torus.ply")
    assert volume(sculpt) == pytest.approx(mesh.volume, rel=1e-5)
    assert area(sculpt) == pytest.approx(mesh.area, rel=1e-5)
    assert np.ptp(sculpt.bounds, axis=0) == pytest.approx(mesh.extents, rel=1e-5)
