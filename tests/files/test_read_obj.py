"""OBJ in all the shapes it comes in. Statements as in Wavefront's Object Files description, version 3.0."""

from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import example, given, settings
from hypothesis import strategies as st

from files.mesh_text import (
    CUBE_FACES,
    CUBE_TRIANGLES,
    CUBE_VERTICES,
    CUBE_VOLUME,
    area,
    is_the_cube,
    obj,
    volume,
)
from holdwright.errors import InputError
from holdwright.files import obj_rows
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.sculpt import Sculpt


@pytest.fixture
def read(tmp_path):
    def reader(text: str | bytes, name: str = "cube.obj") -> Sculpt:
        path: Path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_sculpt(path)

    return reader


VERTICES = obj(faces=[])
COUNT = len(CUBE_VERTICES)
GOOD = {
    "triangles": obj(),
    "quads": obj(faces=CUBE_FACES),
    "with texture": obj(corner="{0}/7"),
    "with normals": obj(corner="{0}//3"),
    "with both": obj(corner="{0}/12/3"),
    "quads and triangles": obj(faces=CUBE_FACES[:3] + CUBE_TRIANGLES[6:]),
    "corners of mixed kinds": obj().replace(" 2", " 2/1", 1).replace(" 3\n", " 3//1\n", 1),
    "backward": VERTICES + "".join(f"f {a - COUNT} {b - COUNT} {c - COUNT}\n" for a, b, c in CUBE_TRIANGLES),
    "backward pairs": VERTICES
    + "".join(f"f {a - COUNT}//-1 {b - COUNT}//-1 {c - COUNT}//-1\n" for a, b, c in CUBE_TRIANGLES),
    "signed": obj(number="{:+.3e}"),
    "dos": obj(end="\r\n"),
    "old mac": obj(end="\r"),
    "byte order mark": "\ufeff" + obj(),
    "no last line end": obj().rstrip(),
    "blanks": obj().replace(" ", "  \t ").replace("\n", " \t\n\n  \t\n  "),
    "continued": obj().replace(" ", " \\\n", 5).replace("f ", "f \\\n"),
    "continued for dos": obj().replace("f ", "f \\\n").replace("\n", "\r\n"),
    "faces first": "".join(sorted(obj().splitlines(keepends=True), key=lambda line: line[0])),
    "comments": "# made up\\\n" + obj().replace("\n", " # here\\\n", 7) + "#v 1 2\n",
    "weights": VERTICES.replace("\n", " 0.5\n") + obj(vertices=[]),
    "colours": VERTICES.replace("\n", " 300 -1 2.5\n") + obj(vertices=[]),
    "odd colours": VERTICES.replace("\n", " nan red 1,5\n", 3) + obj(vertices=[]),
    "materials": "mtllib /dev/zero\nusemtl C:\\paint\\red\n" + obj(),
    "normals and textures": "vn 0 0 1\nvt 0 1\nvp 1\n" + obj() + "s off\ns 1\n",
    "free form": "cstype bezier\ndeg 3\ncurv 0 1 1 2 3\nparm u 0 1\nend\n" + obj(),
    "integers": obj(number="{:.0f}"),
    "many digits": obj(number="{:.20f}"),
}


@pytest.mark.parametrize("name", GOOD)
def test_every_way_of_writing_a_cube_gives_the_cube(read, name):
    sculpt = read(GOOD[name])
    assert is_the_cube(sculpt)
    assert not sculpt.notes


REFUSED = {
    "f 0 1 2": "line 21 names vertex 0, but vertices are counted from 1",
    "f 1 2 9": "line 21 names vertex 9, but the file has 8 vertices",
    "f 1 2 -9": "line 21 names vertex -9, but the file has 8 vertices",
    "f 1 2 9223372036854775808": "line 21 names vertex 9223372036854775808",
    "f 1 2 -9223372036854775809": "line 21 names vertex -9223372036854775809",
    "f 1 2 abc": 'line 21 names "abc" as a corner',
    "f 1 2 1.5": 'line 21 names "1.5" as a corner',
    "f 1 2 /3": 'line 21 names "/3" as a corner',
    "f 1/2/3/4 2 3": 'line 21 names "1/2/3/4" as a corner',
    "f 1 2-3 4": 'line 21 names "2-3" as a corner',
    "v 1,5 2,5 3,5\nf 1 2 9": "line 21 writes .* with commas; write decimals with a point",
    "v 1 2\nf 1 2 9": "line 21 has 2 coordinates instead of three",
    "v 1 2 x\nf 1 2 9": 'line 21, "1 2 x", has a coordinate that is not a finite number',
    "v 1 2 3.1+e2\nf 1 2 9": "not a finite number",
    "v 1_0 2 3\nf 1 2 9": "not a finite number",
}


@pytest.mark.parametrize("line", REFUSED)
@pytest.mark.parametrize("before", ["", "continued"])
def test_wrong_lines_are_refused_by_number(read, line, before):
    text = obj()
    if before:
        text = "# a\\\n" + text.replace("f 1 ", "f \\\n1 ", 1)
        expected = REFUSED[line].replace("line 21", "line 23")
    else:
        expected = REFUSED[line]
    with pytest.raises(InputError, match=expected):
        read(f"{text}{line}\n")


def test_points_and_lines_are_no_mesh(read):
    for text in (VERTICES, VERTICES + "l 1 2 3\n", VERTICES + "p 1 2 3\n"):
        with pytest.raises(InputError, match="only points or lines; export the sculpt as a mesh"):
            read(text)
    assert read(obj() + "l 1 2\np 4\n").notes == ("2 line or point statements passed over.",)


def test_faces_that_are_none_are_dropped_with_a_note(read):
    sculpt = read(obj() + "f 1 1 2\nf 3 4\nf 5\nf\nf 1 2 1 2\n")
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME)
    assert sculpt.triangle_count == 12
    assert sculpt.notes == ("4 faces with fewer than three different corners were left out.",)
    doubled = read(obj(faces=[(a, a, b, c) for a, b, c in CUBE_TRIANGLES]))
    assert volume(doubled) == pytest.approx(CUBE_VOLUME)
    assert doubled.notes == ("A corner named twice running counts once in 12 faces.",)


def test_a_bad_vertex_no_face_uses_is_dropped_with_a_note(read):
    sculpt = read(
        "v nan 0 0\nv 1 2\nv 0 1e300 0\n"
        + VERTICES
        + "".join(f"f {a + 4} {b + 4} {c + 4}\n" for a, b, c in CUBE_TRIANGLES)
    )
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME)
    assert sculpt.notes == ("3 vertices without usable coordinates, used by no face, were left out.",)


def halves(*names: str) -> str:
    """Give a cube whose twelve triangles come under names in turn."""
    lines = [
        f"{names[number % len(names)]}\nf {a + 1} {b + 1} {c + 1}"
        for number, (a, b, c) in enumerate(CUBE_TRIANGLES)
    ]
    return VERTICES + "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("statements", "names"),
    [
        (("g one", "g two"), ["one", "two"]),
        (("o one", "o two", "o three"), ["one", "two", "three"]),
        (("o one\ng left", "o one\ng right"), ["left", "right"]),
        (("o one\ng part", "o two\ng part"), ["part", "part (2)"]),
        (("g", "g lone"), ["cube", "lone"]),
        (("o\ng cube (2)", "o cube", "o other\ng cube"), ["cube (2)", "cube", "cube (3)"]),
        (("g two words",), ["two words"]),
        (("g\ttab \x07bell",), ["tab bell"]),
        (("g äöü",), ["äöü"]),
    ],
)
def test_groups_become_named_pieces(read, statements, names):
    sculpt = read(halves(*statements))
    assert [each.name for each in sculpt.pieces] == names
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME)
    assert sum(len(each.triangles) for each in sculpt.pieces) == 12


def test_names_of_any_bytes_and_length_survive(read):
    (piece,) = read("g café\n".encode("latin-1") + obj().encode()).pieces
    assert piece.name == "café"
    (piece,) = read(f"g {'ä' * 500_000}\n{obj()}").pieces
    assert piece.name.startswith("äää")
    assert len(piece.name) <= 80
    long = read(halves("g " + "x" * 1000 + "1", "g " + "x" * 1000 + "2"))
    assert len({each.name for each in long.pieces}) == 2


def test_more_groups_than_strokes_of_a_hand_are_read_as_one(read):
    text = VERTICES + "".join(f"g {number}\nf 1 2 3\n" for number in range(10_001))
    sculpt = read(text)
    assert len(sculpt.pieces) == 1
    assert sculpt.triangle_count == 10_001
    assert sculpt.notes == ("The file names 10,001 groups; they were read as one piece.",)


def test_long_lines_take_no_longer_than_long_files(read):
    corners = 200_000
    angles = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    ring = "".join(f"v {np.cos(angle)} {np.sin(angle)} 0\n" for angle in angles)
    with pytest.raises(
        InputError, match="too many corners, 600,000 in one; export the sculpt with faces of three"
    ):
        read(ring + "f" + " 1 2 3" * corners + "\n")
    blank = " " * 1_000_000
    assert read(ring + f"{blank}f 1{blank}2{blank} 3{blank}\n").triangle_count == 1
    for word in ("1" * 1_000_000, "-" * 1_000_000, "/" * 1_000_000):
        with pytest.raises(InputError, match="line 13 names"):
            read(ring + f"f 1 2 {word}\n")


@pytest.mark.parametrize("blocks", ["small", "as shipped"])
def test_large_and_small_blocks_give_the_same(read, monkeypatch, blocks):
    if blocks == "small":
        monkeypatch.setattr("holdwright.files.lines.BLOCK", 64)
    sculpt = read(halves("g one", "g two").replace("f 1 ", "f \\\n1 ") + "l 1 2\n")
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME)
    assert [len(each.triangles) for each in sculpt.pieces] == [6, 6]
    with pytest.raises(InputError, match="line 34 names vertex 99"):
        read(halves("g one") + "# x\nf 1 2 99\n")


def test_many_polygons_agree_with_another_reader(read, tmp_path):
    """Second opinion: trimesh, a general-purpose library, on a mesh of triangles it made itself."""
    mesh = trimesh.creation.torus(30.0, 10.0, major_sections=60, minor_sections=40)
    (tmp_path / "torus.obj").write_text(trimesh.exchange.obj.export_obj(mesh, include_normals=True))
    sculpt = read_sculpt(tmp_path / "torus.obj")
    assert volume(sculpt) == pytest.approx(mesh.volume, rel=1e-6)
    assert area(sculpt) == pytest.approx(mesh.area, rel=1e-6)
    assert sculpt.bounds == pytest.approx(mesh.bounds, abs=1e-6)


WORDS = st.text("0123456789", min_size=1, max_size=3)
ODD_WORDS = st.text("0123456789-+./e#n", min_size=1, max_size=5)
PAIRS = st.tuples(WORDS, st.sampled_from(["/", "//"]), WORDS).map("".join)
CORNERS = st.one_of(WORDS, WORDS.map(lambda n: f"-{n}"), PAIRS)


def _lines(keyword: str, usual: st.SearchStrategy[str], least: int) -> st.SearchStrategy[bytes]:
    """Lines mostly of one kind of word, with odd words and doubled blanks among them."""
    word = st.one_of(usual, usual, usual, ODD_WORDS)
    blank = st.sampled_from([" ", " ", " ", " ", "  "])
    line = st.lists(st.tuples(blank, word).map("".join), min_size=least, max_size=5)
    ending = st.sampled_from(["", "", "", " "])
    return st.lists(st.tuples(line, ending), min_size=1, max_size=5).map(
        lambda lines: "".join(f"{keyword}{''.join(words)}{end}\n" for words, end in lines).encode()
    )


@settings(deadline=None, max_examples=300)
@given(_lines("f", CORNERS, 0))
@example(b"f -\n")
@example(b"f 1 2 -\n")
@example(b"f 1/-/2\n")
def test_the_quick_way_with_faces_is_the_exact_way(text):
    quick = obj_rows._quick_faces(text)
    if quick is not None:
        exact = obj_rows._exact_faces(text)
        assert [each.tolist() for each in quick] == [each.tolist() for each in exact]


@settings(deadline=None, max_examples=300)
@given(_lines("v", st.floats(-1e6, 1e6).map("{:.6f}".format) | WORDS | st.floats().map(repr), 1))
def test_the_quick_way_with_vertices_is_the_exact_way(text):
    quick = obj_rows._quick_vertices(text)
    if quick is not None:
        np.testing.assert_array_equal(quick, obj_rows._exact_vertices(text))


@pytest.mark.parametrize("form", ["{0}", "{0}/{0}", "{0}//{0}", "{0}/{0}/{0}", "-{0}"])
def test_the_quick_way_takes_all_usual_faces(form):
    text = "".join(
        "f " + " ".join(form.format(n) for n in face) + "\n" for face in ([1, 2, 3], [4, 5, 6, 7], [8, 9, 10])
    )
    quick = obj_rows._quick_faces(text.encode())
    assert quick is not None
    assert np.abs(quick[0]).tolist() == list(range(1, 11))
    assert quick[1].tolist() == [3, 4, 3]


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.tuples(*[st.floats(-1e5, 1e5, width=32)] * 3), min_size=3, max_size=12),
    st.data(),
)
def test_what_is_written_is_read(tmp_path_factory, vertices, data):
    corner = st.integers(0, len(vertices) - 1)
    faces = data.draw(
        st.lists(st.lists(corner, min_size=3, max_size=3, unique=True), min_size=1, max_size=12)
    )
    form = data.draw(st.sampled_from(["{0}", "{0}/1", "{0}//1", "{0}/1/1"]))
    number = data.draw(st.sampled_from(["{!r}", "{:.17g}", "{:+.16e}"]))
    path = tmp_path_factory.mktemp("written") / "any.obj"
    path.write_text(obj(vertices, faces, number, form, data.draw(st.sampled_from(["\n", "\r\n", " \n"]))))
    given_corners = np.array(vertices)[np.array(faces)]
    if np.ptp(given_corners.reshape(-1, 3), axis=0).max() == 0.0:
        with pytest.raises(InputError, match="one point"):
            read_sculpt(path)
        return
    sculpt = read_sculpt(path)
    (piece,) = sculpt.pieces
    np.testing.assert_array_equal(piece.vertices[piece.triangles] + sculpt.origin, given_corners)
