"""What is read at all, what is refused and how, whatever the format."""

import hashlib
import re
from pathlib import Path

import numpy as np
import pytest

from files.mesh_text import CUBE_VERTICES, CUBE_VOLUME, binary_stl, obj, text_ply, text_stl, volume
from holdwright.errors import Cancelled, InputError
from holdwright.files.reading import read_sculpt
from holdwright.progress import Progress


def write(folder: Path, name: str, content: str | bytes) -> Path:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


FORMATS = {
    "OBJ": obj().encode(),
    "STL": binary_stl(),
    "STL in text": text_stl().encode(),
    "PLY": text_ply().encode(),
}


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("ending", [".obj", ".stl", ".ply", ".OBJ", ".bin", ""])
def test_content_decides_the_format(tmp_path, name, ending):
    sculpt = read_sculpt(write(tmp_path, f"cube{ending}", FORMATS[name]))
    assert sculpt.format == name[:3]
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME, rel=1e-12)
    assert [each.name for each in sculpt.pieces] in (["cube"],)
    assert sculpt.digest == hashlib.blake2b(FORMATS[name], digest_size=16).hexdigest()
    assert sculpt.unit is None
    assert not sculpt.notes


def test_a_binary_stl_may_begin_with_solid(tmp_path):
    sculpt = read_sculpt(write(tmp_path, "cube.stl", binary_stl(header=b"solid facet normal")))
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME)


REFUSED = {
    "empty": (b"", "it is empty"),
    "page": (b"<!DOCTYPE html><html><body>404</body></html>", "web page"),
    "zip": (b"PK\x03\x04" + bytes(100), "zip archive"),
    "picture": (b"\x89PNG\r\n\x1a\n" + bytes(100), "PNG picture"),
    "utf16": (("\ufeff" + obj()).encode("utf-16-le"), "UTF-16"),
    "noise": (bytes(range(256)) * 4, "is not OBJ, STL, PLY, 3MF or GLB|is not|header counts"),
    "prose": (b"Dear reader,\nthere is no mesh in here.\n", "is not OBJ|no vertices|no triangles|is not"),
}


@pytest.mark.parametrize("name", REFUSED)
@pytest.mark.parametrize("ending", [".obj", ".stl", ".ply", ".txt"])
def test_what_is_no_mesh_is_refused_in_one_sentence(tmp_path, name, ending):
    content, reason = REFUSED[name]
    with pytest.raises(InputError, match=reason) as caught:
        read_sculpt(write(tmp_path, f"{name}{ending}", content))
    assert re.fullmatch(rf"Cannot read {name}{ending}: [^\n]+; [^\n]+\.", str(caught.value))


def test_missing_files_and_folders_are_refused(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_sculpt(tmp_path / "nothing.obj")
    with pytest.raises(InputError, match=r"^Cannot read \S+: it is a folder"):
        read_sculpt(Path())
    with pytest.raises(InputError, match="is a folder"):
        read_sculpt(tmp_path)


@pytest.mark.parametrize("name", FORMATS)
def test_every_cut_off_file_is_refused_or_lacks_nothing_it_used(tmp_path, name):
    """A file cut anywhere gives InputError, or (text formats cut at a line) a mesh that is smaller."""
    content = FORMATS[name]
    for length in range(0, len(content) - 60, 37):
        try:
            sculpt = read_sculpt(write(tmp_path, "cut.bin", content[:length]))
        except InputError:
            continue
        assert name == "OBJ" or (name == "STL in text" and content[:length].rstrip().endswith(b"endfacet"))
        assert sculpt.triangle_count < 12


def test_far_sculpts_keep_their_digits(tmp_path):
    shift = np.array([5_000_000.0, -5_000_000.0, 3.0])
    path = write(tmp_path, "far.obj", obj(np.array(CUBE_VERTICES) + shift + 0.001))
    sculpt = read_sculpt(path)
    assert sculpt.origin[:2] == pytest.approx(shift[:2], abs=0.01)
    assert sculpt.origin[2] == 0.0
    assert np.abs(sculpt.bounds).max() < 20.0
    assert volume(sculpt) == pytest.approx(CUBE_VOLUME, rel=1e-9)
    near = read_sculpt(write(tmp_path, "near.obj", obj(np.array(CUBE_VERTICES) + 150.0)))
    assert not near.origin.any()


def test_progress_is_told_and_can_stop_the_reading(tmp_path):
    path = write(tmp_path, "cube.obj", FORMATS["OBJ"])
    told: list[float] = []
    read_sculpt(path, Progress(lambda fraction, _: told.append(fraction)))
    assert told == sorted(told)
    assert told[0] == 0.0
    assert told[-1] == 1.0
    with pytest.raises(Cancelled):
        read_sculpt(path, Progress(cancelled=lambda: True))


@pytest.mark.parametrize(
    ("value", "reason"), [("1e30", "1e\\+30, beyond the 1e\\+09"), ("nan", "finite"), ("-1e999", "finite")]
)
def test_coordinates_no_hold_can_have_are_refused(tmp_path, value, reason):
    vertices = [*map(str, CUBE_VERTICES[0])]
    for name, text in {
        "v.obj": obj().replace("v -10.000000 -10.000000 -10.000000", f"v {value} 0 0", 1),
        "v.stl": text_stl().replace(f"vertex {vertices[0]}", f"vertex {value}", 1),
        "v.ply": text_ply().replace(f"\n{vertices[0]}", f"\n{value}", 1),
    }.items():
        with pytest.raises(InputError, match=reason):
            read_sculpt(write(tmp_path, name, text))


def test_one_point_is_no_mesh(tmp_path):
    with pytest.raises(InputError, match="one point"):
        read_sculpt(write(tmp_path, "point.obj", "v 1 1 1\nv 1 1 1\nv 1 1 1\nf 1 2 3\n"))
    with pytest.raises(InputError, match="collapsed"):
        read_sculpt(write(tmp_path, "point.stl", binary_stl([[(1, 1, 1)] * 3] * 4)))


def test_arrays_of_pieces_hold_only_their_own(tmp_path):
    text = "v 9 9 9\n" + obj(corner="{0}").replace("f ", "f ", 1)
    text = re.sub(
        r"^f (\d+) (\d+) (\d+)",
        lambda m: "f " + " ".join(str(int(n) + 1) for n in m.groups()),
        text,
        flags=re.M,
    )
    (piece,) = read_sculpt(write(tmp_path, "spare.obj", text)).pieces
    assert piece.vertices.shape == (8, 3)
    assert set(np.unique(piece.triangles)) == set(range(8))
    assert not piece.vertices.flags.writeable
    assert not piece.triangles.flags.writeable
    assert piece.vertices.dtype == np.float64
    assert piece.triangles.dtype == np.int64
