"""STL, binary and text. Layouts: M. Burns, Automated Fabrication (1993), section 6.5 (from memory)."""

from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from files.mesh_text import CUBE_AREA, CUBE_VOLUME, area, binary_stl, facets, text_stl, volume
from holdwright.errors import InputError
from holdwright.files import read_stl
from holdwright.files.read_error import Unreadable
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh import closedness
from holdwright.geometry.mesh.sculpt import Sculpt


@pytest.fixture
def read(tmp_path):
    def reader(content: str | bytes) -> Sculpt:
        path: Path = tmp_path / "cube.stl"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_sculpt(path)

    return reader


GOOD = {
    "binary": binary_stl(),
    "binary with padding": binary_stl() + b"\0\r\n",
    "text": text_stl(),
    "without indent": text_stl(indent=""),
    "dos": text_stl(end="\r\n"),
    "old mac": text_stl(end="\r"),
    "upper case": text_stl().upper(),
    "mixed case": text_stl().replace("facet", "Facet").replace("vertex", "VERTEX", 7),
    "byte order mark": "\ufeff" + text_stl(),
    "blank lines": "\n \n" + text_stl(end="\n\n\t\n"),
    "on one line": text_stl().replace("\n", " "),
    "no end": text_stl().rpartition("endsolid")[0],
    "end apart": text_stl().replace("endsolid", "end solid"),
    "no name": text_stl(name=""),
    "no normals": text_stl().replace(" normal 0 0 1", ""),
    "bad normals": text_stl().replace("normal 0 0 1", "normal nan -nan(ind) x", 5),
    "other numbers": text_stl().replace(" 10.0", " +1.0E1"),
    "facets of two layouts": text_stl().replace("  vertex", "\n  vertex", 1),
}


@pytest.mark.parametrize("name", GOOD)
def test_every_way_of_writing_a_cube_gives_the_cube(read, name):
    sculpt = read(GOOD[name])
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME, rel=1e-12)
    assert area(sculpt) == pytest.approx(CUBE_AREA, rel=1e-12)
    (piece,) = sculpt.pieces
    assert piece.name.lower() == "cube"
    assert len(piece.vertices) == 8
    assert len(sculpt.notes) == ("padding" in name)


@pytest.mark.parametrize("end", ["\n", " "])
def test_each_solid_is_a_piece(read, end):
    halves = [text_stl(facets()[:6], "half", end=end), text_stl(facets()[6:], "half", end=end)]
    sculpt = read("".join(halves) + "solid empty\nendsolid empty\n")
    assert [each.name for each in sculpt.pieces] == ["half", "half (2)"]
    assert [len(each.triangles) for each in sculpt.pieces] == [6, 6]
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME)


def test_names_end_with_their_line(read):
    (piece,) = read(text_stl(name="my endfacet vertex thing")).pieces
    assert piece.name == "my endfacet vertex thing"
    (piece,) = read(text_stl(name="x" * 2_000_000)).pieces
    assert len(piece.name) == 80


PLAIN = text_stl(indent="")
REFUSED = {
    "count too large": (binary_stl(count=1000), "counts 1,000 triangles, but only 12 follow"),
    "count of four thousand million": (binary_stl(count=2**32 - 1), "but only 12 follow"),
    "no triangles": (binary_stl([]), "counts no triangles"),
    "cut": (binary_stl()[:-20], "counts 12 triangles, but only 11 follow"),
    "cut in the header": (binary_stl()[:80], "header of a binary STL alone has 84"),
    "empty solid": ("solid a\nendsolid a\n", "no triangles"),
    "cut in a facet": (text_stl()[: text_stl().index("endloop", 500)], "line 23 .*not a whole facet"),
    "two corners": (PLAIN.replace("vertex -10.0 -10.0 10.0\n", "", 1), "line 2 .* three corners"),
    "four corners": (PLAIN.replace("endloop", "vertex 1 2 3\nendloop", 1), "line 2 .* three corners"),
    "no end of a facet": (PLAIN.replace("endloop\nendfacet\n", "", 1), "line 2 .* three corners"),
    "a word": (text_stl().replace("10.0 10.0 10.0", "10.0 ten 10.0", 1), "triangle 1 has a coordinate"),
    "rubbish after": (text_stl() + "thank you", 'line 87 with "thank you"'),
    "flat": (binary_stl([[(0, 0, 0), (1, 0, 0), (0, 0, 0)]] * 3), "each of its triangles has collapsed"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_damaged_files_are_refused_with_the_reason(read, name):
    content, reason = REFUSED[name]
    with pytest.raises(InputError, match=reason):
        read(content)


def test_collapsed_triangles_are_dropped_with_a_note(read):
    sculpt = read(binary_stl([*facets(), [(10, 10, 10), (-10, 10, 10), (10, 10, 10)]]))
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME)
    assert sculpt.notes == ("1 triangle with two corners in the same place was left out.",)


@pytest.mark.parametrize("rest", [b"made with care", bytes(range(50))])
def test_what_the_header_does_not_count_is_noted(read, rest):
    sculpt = read(binary_stl() + rest)
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME, rel=1e-12)
    assert sculpt.notes[0].startswith(f"{len(rest)} bytes after all that the header counts were left unread")


def test_minus_zero_is_zero(read):
    corners = np.array(facets()) / 20.0 + 0.5
    corners[::2][corners[::2] == 0.0] = -0.0
    minus = corners.tolist()
    for content in (binary_stl(minus), text_stl(minus)):
        (piece,) = read(content).pieces
        assert len(piece.vertices) == 8
        assert not np.signbit(piece.vertices[piece.vertices == 0]).any()


def test_many_triangles_agree_with_another_reader(tmp_path):
    """Second opinion: trimesh, a general-purpose library, on a mesh it made and wrote itself."""
    mesh = trimesh.creation.torus(30.0, 10.0, major_sections=90, minor_sections=50)
    for kind in ("stl", "stl_ascii"):
        (tmp_path / "torus.stl").write_bytes(
            mesh.export(file_type=kind) if kind == "stl" else mesh.export(file_type=kind).encode()
        )
        sculpt = read_sculpt(tmp_path / "torus.stl")
        assert volume(sculpt) == pytest.approx(mesh.volume, rel=1e-5)
        assert area(sculpt) == pytest.approx(mesh.area, rel=1e-5)
        assert len(sculpt.pieces[0].vertices) == len(mesh.vertices)


@settings(deadline=None, max_examples=100)
@given(
    st.lists(st.tuples(*[st.sampled_from([0.0, -0.0, 1.0, -1.0, 1e-30, 0.1])] * 3), min_size=1, max_size=30),
    st.booleans(),
)
def test_welding_keeps_each_different_point_once(points, colliding):
    given_points = np.array(points) + 0.0
    with pytest.MonkeyPatch.context() as patch:
        if colliding:
            patch.setattr(closedness, "_MIX", np.zeros(3, dtype=np.uint64))
        vertices, vertex_of = closedness.merge_equal(given_points)
    np.testing.assert_array_equal(vertices[vertex_of], given_points)
    assert len(vertices) == len(np.unique(given_points, axis=0))
    assert (np.diff(np.unique(vertex_of, return_index=True)[1]) > 0).all()


def _taken(text: bytes, take) -> tuple[list[bytes], list[int], list] | None:
    found = read_stl.Facets()
    try:
        if take(text, found) is False:
            return None
    except Unreadable:
        return [], [], []
    return found.names, found.sizes, np.concatenate([np.zeros((0, 9)), *found.parts]).tolist()


@settings(deadline=None, max_examples=300)
@given(
    st.integers(0, 400),
    st.sampled_from([b"", b" ", b"\n", b"-", b"x", b"1", b"endfacet", b"\nsolid b\n", b" facet "]),
    st.integers(0, 12),
)
def test_the_quick_way_is_the_exact_way(place, inserted, dropped):
    """A file with one spot damaged is refused by the quick way, or read as by the exact one."""
    text = text_stl(facets()[:3]).encode()
    text = text[:place] + inserted + text[place + dropped :]
    quick = _taken(text, read_stl._take_usual)
    if quick is not None:
        assert quick == _taken(text, lambda whole, found: read_stl._take_any(whole, 0, len(whole), found))
