"""3MF against its core specification; lib3mf, the consortium's own library, gives a second opinion."""

import io

import lib3mf
import numpy as np
import pytest
import trimesh

from files.mesh_text import volume
from files.packages_3mf import BOX, MATERIALS, mesh_xml, model, packed, volume_of
from holdwright.files import package, read_3mf_model
from holdwright.files.read_3mf import read_3mf
from holdwright.files.read_error import Unreadable
from holdwright.files.reading import read_sculpt
from holdwright.files.write_3mf import About, write_3mf
from holdwright.geometry.mesh.single_precision import PrintedMesh


def test_what_a_general_library_writes(tmp_path):
    ball = trimesh.creation.icosphere(3, radius=30)
    scene = trimesh.Scene()
    scene.add_geometry(ball, geom_name="ball")
    scene.add_geometry(
        BOX, geom_name="block", transform=trimesh.transformations.translation_matrix([50, 0, 0])
    )
    scene.export(tmp_path / "two.3mf")
    sculpt = read_sculpt(tmp_path / "two.3mf")
    assert (sculpt.format, {piece.name for piece in sculpt.pieces}) == ("3MF", {"ball", "block"})
    assert volume(sculpt) == pytest.approx(ball.volume + BOX.volume, rel=1e-6)
    assert sculpt.bounds == pytest.approx(scene.bounds, rel=1e-6)


def test_agrees_with_the_reference_library(tmp_path):
    """lib3mf 2.4 or later: vertices after all transforms, box by box."""
    turned = trimesh.transformations.rotation_matrix(0.7, [1, 2, 3])[:3, :3].T
    words = " ".join(f"{value:.9g}" for value in [*turned.ravel(), 5, 6, 7])
    inner = " ".join(f"{value:.9g}" for value in [*np.diag([1, 2, -3]).ravel(), 1, 2, 3])
    resources = (
        f'<object id="1" name="block">{mesh_xml()}</object><object id="2"><components>'
        f'<component objectid="1" transform="{inner}"/><component objectid="1"/></components></object>'
    )
    content = packed(model(resources, f'<item objectid="2" transform="{words}"/>'))
    surface = read_3mf(content)
    (tmp_path / "turned.3mf").write_bytes(content)
    outside = lib3mf.get_wrapper().CreateModel()
    outside.QueryReader("3mf").ReadFromFile(str(tmp_path / "turned.3mf"))
    box = outside.GetOutbox()
    assert surface.vertices.min(axis=0) == pytest.approx(list(box.MinCoordinate), rel=1e-5)
    assert surface.vertices.max(axis=0) == pytest.approx(list(box.MaxCoordinate), rel=1e-5)
    assert volume_of(surface) == pytest.approx(8000 * 7, rel=1e-6)


def test_our_own_files_in_bulk(monkeypatch, tmp_path):
    ball = trimesh.creation.icosphere(5, radius=40.5)
    mesh = PrintedMesh(ball.vertices.astype("f4"), ball.faces.astype("i4"))
    stream = io.BytesIO()
    write_3mf(stream, {"shell": mesh, "core": mesh}, About("hold"))

    def no_single_rows(words: list[str], _: object) -> None:
        raise AssertionError(words[:3])

    monkeypatch.setattr("holdwright.files.model_scan.rows_of", no_single_rows)
    surface = read_3mf(stream.getvalue())
    assert surface.names == [b"shell", b"core"]
    assert surface.vertices[: len(ball.vertices)] == pytest.approx(ball.vertices, rel=1e-6)
    assert volume_of(surface) == pytest.approx(2 * ball.volume, rel=1e-5)


@pytest.mark.parametrize("chunk", [1, 7, 64, 1000])
@pytest.mark.parametrize(
    "change",
    [
        lambda text: text,
        lambda text: text.replace("/>", " />").replace("<vertex", "\r\n\t<vertex"),
        lambda text: text.replace("/><vertex", "></vertex><vertex"),
        lambda text: text.replace('" v2', '" p2="3" v2').replace('"/>\n', '" pid="2" p1="0"/>\n'),
        lambda text: text.replace("<vertices>", '<vertices><!-- <vertices><vertex x="9" y="9" z="9"/> -->'),
        lambda text: text.replace(' x="', ' z="').replace(' z="', ' x="', 0),
        lambda text: text.replace("<", "<c:").replace("<c:/", "</c:").replace("xmlns=", "xmlns:c="),
        lambda text: text.replace('"', "'"),
    ],
    ids=["plain", "blanks", "end tags", "colours", "comment", "no x", "prefix", "quotes"],
)
def test_in_bulk_or_one_by_one_it_is_the_same(monkeypatch, change, chunk):
    """However a file is cut into pieces, reading rows in bulk changes nothing."""
    content = packed(change(model()))
    monkeypatch.setattr(package, "CHUNK", chunk)
    outcomes = []
    for bulk in (True, False):
        if not bulk:
            monkeypatch.setattr("holdwright.files.read_3mf.rows_in_bulk", lambda *_: None)
        try:
            surface = read_3mf(content)
            outcomes.append((surface.vertices.tolist(), surface.triangles.tolist()))
        except Unreadable as fault:
            outcomes.append((fault.found, []))
    assert outcomes[0] == outcomes[1]


@pytest.mark.parametrize(
    "row",
    [
        '<vertex x="1 2" y="3"/>',
        '<vertex x="1" z="2" y="3"/>',
        '<vertex x="1" y="2" z="3" w="4"/>',
        '<vertex x="" y="2" z="3"/>',
        '<vertex x="1-2" y="2" z="3"/>',
        '<vertex x="nan" y="2" z="3"/>',
        '<ver5tex x="1" y="2" z="3"/>',
    ],
)
def test_odd_rows_are_never_read_in_bulk(row):
    sound = b'<vertex x="1" y="2" z="3"/>'
    assert read_3mf_model.rows_in_bulk(sound, read_3mf_model.VERTICES) is not None
    assert read_3mf_model.rows_in_bulk(sound + row.encode(), read_3mf_model.VERTICES) is None
    assert read_3mf_model.rows_in_bulk(row.encode(), read_3mf_model.VERTICES) is None


@pytest.mark.parametrize(
    ("unit", "declared", "factor"),
    [
        ("micron", "mm", 0.001),
        ("millimeter", "mm", 1),
        ("centimeter", "cm", 1),
        ("inch", "inch", 1),
        ("foot", "mm", 304.8),
        ("meter", "m", 1),
    ],
)
def test_units(unit, declared, factor):
    """3MF Core Specification 1.3, 3.4.1; the foot is 304.8 mm by the agreement of 1959."""
    surface = read_3mf(packed(model(attributes=f'unit="{unit}"')))
    assert surface.unit == declared
    assert volume_of(surface) == pytest.approx(8000 * factor**3)
    assert bool(surface.notes) == (factor != 1)


def test_only_what_is_built_and_instances_told_apart(tmp_path):
    resources = (
        f'<object id="4" name="nub &amp; knob">{mesh_xml()}</object><object id="9">{mesh_xml()}</object>'
        f'<object id="10" type="support">{mesh_xml()}</object>'
        '<object id="11" name="pair"><components><component objectid="9"/><component objectid="4" '
        'transform="1 0 0 0 1 0 0 0 1 40 0 0"/></components></object>'
    )
    build = (
        '<item objectid="11"/><item objectid="4" transform="-1 0 0 0 1 0 0 0 1 90 0 0"/><item objectid="10"/>'
    )
    path = tmp_path / "several.3mf"
    path.write_bytes(packed(model(resources, build)))
    sculpt = read_sculpt(path)
    assert [piece.name for piece in sculpt.pieces] == ["pair", "nub & knob", "nub & knob (2)"]
    assert volume(sculpt) == pytest.approx(3 * 8000)
    assert any("support" in note for note in sculpt.notes)
    for piece in sculpt.pieces:
        assert trimesh.Trimesh(piece.vertices, piece.triangles).volume == pytest.approx(8000)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le"])
def test_encodings(encoding):
    """UTF-8 and UTF-16, 3MF Core Specification 1.3, 2.3.2; the byte order mark is needed in UTF-16."""
    text = model(f'<object id="1" name="Überhang">{mesh_xml()}</object>')
    mark = "\ufeff" if encoding == "utf-16-le" else ""
    assert read_3mf(packed((mark + text).encode(encoding))).names == ["Überhang".encode()]


def test_extensions_that_leave_shapes_alone():
    colours = f'xmlns:m="{MATERIALS}" requiredextensions="m"'
    extra = '<m:colorgroup id="7"><m:color color="#FF0000"/></m:colorgroup>'
    surface = read_3mf(packed(model(f'{extra}<object id="1">{mesh_xml()}</object>', attributes=colours)))
    assert (volume_of(surface), surface.notes) == (pytest.approx(8000), [])
    beams = f'<object id="1">{mesh_xml().replace("</mesh>", "<b:beams xmlns:b=^urn:b^/></mesh>")}</object>'
    assert "urn:b" in read_3mf(packed(model(beams.replace("^", '"')))).notes[0]


@pytest.mark.parametrize(
    ("target", "name"),
    [
        ("3D/other.model", "3D/other.model"),
        ("/geo/a%20b.model", "geo/a b.model"),
        ("/geo/a%20b.model", "geo/a%20b.model"),
        ("/3D/Model.MODEL", "3d/model.model"),
    ],
)
def test_the_model_may_lie_anywhere_in_the_package(target, name):
    assert volume_of(read_3mf(packed(target=target, name=name))) == pytest.approx(8000)


def test_nested_as_deep_as_can_be():
    levels = "".join(
        f'<object id="{level}"><components><component objectid="{level - 1}"/></components></object>'
        for level in range(2, 5002)
    )
    text = model(f'<object id="1">{mesh_xml()}</object>{levels}', '<item objectid="5001"/>')
    assert volume_of(read_3mf(packed(text))) == pytest.approx(8000)
