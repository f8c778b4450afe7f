"""Writers against readers that are not ours: trimesh, lib3mf (the 3MF Consortium's own), a plain one."""

import io
import struct
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Callable
from typing import Any, BinaryIO

import lib3mf
import numpy as np
import pytest
import trimesh
from PIL import Image

import finished
import shapes
from holdwright.files.write_3mf import About, BaseMaterial, write_3mf
from holdwright.files.writing import write_obj, write_ply, write_stl
from holdwright.geometry.mesh.single_precision import PrintedMesh, printed_mesh
from holdwright.geometry.mesh.solid import Solid

CORE_NAMESPACE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"


def printed(solid: Solid) -> PrintedMesh:
    return printed_mesh(solid.vertices, solid.triangles)


def content(write: Callable[[BinaryIO], None]) -> bytes:
    stream = io.BytesIO()
    write(stream)
    return stream.getvalue()


@pytest.fixture(scope="module")
def whole() -> PrintedMesh:
    return printed(finished.bored_boulder())


@pytest.fixture(scope="module")
def parts() -> dict[str, PrintedMesh]:
    return {name: printed(solid) for name, solid in finished.split(finished.bored_boulder()).items()}


def corners(mesh: PrintedMesh) -> np.ndarray:
    return mesh.vertices[mesh.triangles]


def test_stl_read_by_its_description(whole: PrintedMesh) -> None:
    """Layout of binary STL: M. Burns, Automated Fabrication (1993), section 6.5 (from memory)."""
    data = content(lambda stream: write_stl(stream, whole))
    assert not data[:80].lower().startswith(b"solid")
    (count,) = struct.unpack("<I", data[80:84])
    assert len(data) == 84 + 50 * count
    assert count == len(whole.triangles)
    for number in (0, count // 2, count - 1):
        values = struct.unpack("<12fH", data[84 + 50 * number : 134 + 50 * number])
        triangle = np.array(values[3:12]).reshape(3, 3)
        np.testing.assert_array_equal(triangle, corners(whole)[number])
        normal = np.cross(triangle[1] - triangle[0], triangle[2] - triangle[0])
        np.testing.assert_allclose(values[:3], normal / np.linalg.norm(normal), atol=1e-5)
        assert values[12] == 0


@pytest.mark.parametrize(
    ("ending", "write"),
    [
        ("stl", write_stl),
        ("ply", write_ply),
        ("obj", lambda stream, mesh: write_obj(stream, mesh, "a hold")),
    ],
)
def test_trimesh_reads_the_same_numbers(
    whole: PrintedMesh, ending: str, write: Callable[[BinaryIO, PrintedMesh], None]
) -> None:
    data = content(lambda stream: write(stream, whole))
    read = trimesh.load_mesh(io.BytesIO(data), file_type=ending, process=False)
    np.testing.assert_array_equal(np.asarray(read.triangles, dtype=np.float32), corners(whole))
    merged = trimesh.load_mesh(io.BytesIO(data), file_type=ending)
    assert merged.is_watertight
    assert merged.is_winding_consistent


def model_of(data: bytes) -> Any:
    """Read by the 3MF Consortium's own library, strictly."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    assert reader.GetWarningCount() == 0
    return model


def objects_of(model: Any) -> dict[str, Any]:
    found, iterator = {}, model.GetMeshObjects()
    while iterator.MoveNext():
        mesh = iterator.GetCurrentMeshObject()
        found[mesh.GetName()] = mesh
    return found


def vertices_of(mesh: Any) -> np.ndarray:
    return np.array([list(position.Coordinates) for position in mesh.GetVertices()], dtype=np.float32)


def test_3mf_strictly_read(parts: dict[str, PrintedMesh]) -> None:
    data = content(lambda stream: write_3mf(stream, parts, About("boulder")))
    model = model_of(data)
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = objects_of(model)
    assert list(objects) == ["shell", "core"]
    for name, mesh in objects.items():
        assert mesh.IsValid()
        assert mesh.IsManifoldAndOriented()
        assert mesh.GetType() == lib3mf.ObjectType.Model
        np.testing.assert_array_equal(vertices_of(mesh), parts[name].vertices)
        triangles = [list(triangle.Indices) for triangle in mesh.GetTriangleIndices()]
        np.testing.assert_array_equal(triangles, parts[name].triangles)


def test_3mf_builds_every_part_once_in_place(parts: dict[str, PrintedMesh]) -> None:
    model = model_of(content(lambda stream: write_3mf(stream, parts, About("boulder"))))
    items, built = model.GetBuildItems(), []
    while items.MoveNext():
        item = items.GetCurrent()
        assert not item.HasObjectTransform()
        built.append(item.GetObjectResource().GetName())
    assert built == ["shell", "core"]


def test_3mf_is_of_the_core_specification_alone(parts: dict[str, PrintedMesh]) -> None:
    """Parts and names as in the 3MF core specification, chapters 2 and 3."""
    data = content(lambda stream: write_3mf(stream, parts, About("boulder")))
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        assert package.testzip() is None
        assert package.namelist() == ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
        assert {entry.compress_type for entry in package.infolist()} == {zipfile.ZIP_DEFLATED}
        root = ET.fromstring(package.read("3D/3dmodel.model"))
    assert root.get("unit") == "millimeter"
    assert {element.tag.partition("}")[0] + "}" for element in root.iter()} == {CORE_NAMESPACE}


PICTURE = io.BytesIO()
Image.new("RGB", (8, 6), "#8F754C").save(PICTURE, "png")


def test_3mf_says_whose_it_is_and_what_of(parts: dict[str, PrintedMesh]) -> None:
    """Metadata, base materials and thumbnail of the core specification, read by lib3mf in strict mode."""
    materials = {"shell": BaseMaterial("shell", "#8F754C"), "core": BaseMaterial("core", "#1F6B75")}
    said = {"Designer": 'A <b> & "c"', "LicenseTerms": "CC0", "hw:RecipeDigest": "d1" * 16}
    about = About("boulder", said, materials, PICTURE.getvalue())
    data = content(lambda stream: write_3mf(stream, parts, about))
    model = model_of(data)
    group = model.GetMetaDataGroup()
    rows = [group.GetMetaData(number) for number in range(group.GetMetaDataCount())]
    read = {(each.GetNameSpace(), each.GetName()): each.GetValue() for each in rows}
    assert read == {
        ("", "Title"): "boulder",
        ("", "Application"): "Holdwright",
        ("", "Designer"): said["Designer"],
        ("", "LicenseTerms"): "CC0",
        ("urn:holdwright", "RecipeDigest"): "d1" * 16,
    }
    bases = model.GetBaseMaterialGroups()
    assert bases.MoveNext()
    group = bases.GetCurrentBaseMaterialGroup()
    named = {each: group.GetName(each) for each in group.GetAllPropertyIDs()}
    for name, mesh in objects_of(model).items():
        resource, number, has = mesh.GetObjectLevelProperty()
        assert (resource, named[number], has) == (group.GetResourceID(), name, True)
        shown = group.GetDisplayColor(number)
        assert f"#{shown.Red:02X}{shown.Green:02X}{shown.Blue:02X}" == materials[name].colour
    assert model.HasPackageThumbnailAttachment()
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        assert package.read("Metadata/thumbnail.png") == PICTURE.getvalue()


def test_equal_meshes_give_equal_bytes(parts: dict[str, PrintedMesh]) -> None:
    assert content(lambda stream: write_3mf(stream, parts, About("x"))) == content(
        lambda stream: write_3mf(stream, parts, About("x"))
    )


@pytest.mark.parametrize(
    "name",
    [
        '<shell> & "core"',
        "a maker's jug",
        "Überhang 日本",
        "tab\tand\x00null\x1b",
        "half \ud800 pair",
        "",
        "a" * 2000,
    ],
)
def test_3mf_takes_any_name(name: str) -> None:
    cube = printed(shapes.block())
    data = content(lambda stream: write_3mf(stream, {name: cube}, About(name)))
    read = next(iter(objects_of(model_of(data))))
    kept = name.replace("\x00", "").replace("\x1b", "").replace("\ud800", "")
    assert read.split() == kept.split()


@pytest.mark.parametrize("name", ["two words", "line\nbreak", "  ", "Überhang", "half \ud800 pair"])
def test_obj_takes_any_name(name: str) -> None:
    data = content(lambda stream: write_obj(stream, printed(shapes.block()), name))
    lines = [line for line in data.decode().splitlines() if line.startswith("o ")]
    assert len(lines) == 1
    assert len(lines[0].split()) == 2
    assert trimesh.load_mesh(io.BytesIO(data), file_type="obj").is_watertight


def test_text_keeps_single_precision_bit_by_bit() -> None:
    """Nine significant digits are enough for every one: IEEE 754-2019, 5.12.2."""
    draw = np.random.default_rng(5)
    points = (draw.normal(size=(999, 3)) * 10.0 ** draw.integers(-30, 30, (999, 1))).astype(np.float32)
    mesh = PrintedMesh(points, np.arange(999).reshape(-1, 3))
    data = content(lambda stream: write_obj(stream, mesh, "x")).decode()
    read = [line.split()[1:] for line in data.splitlines() if line.startswith("v ")]
    np.testing.assert_array_equal(np.array(read, dtype=np.float32), points)


def test_contact_edges_are_no_trouble_to_a_strict_reader() -> None:
    one, two = shapes.block(1, 1, 1), shapes.block(1, 1, 1)
    vertices = np.concatenate([one.vertices, two.vertices + np.array([1.0, 1.0, 0.0])])
    triangles = np.concatenate([one.triangles, two.triangles + len(one.vertices)])
    data = content(
        lambda stream: write_3mf(stream, {"pair": printed_mesh(vertices, triangles)}, About("pair"))
    )
    assert objects_of(model_of(data))["pair"].IsManifoldAndOriented()
