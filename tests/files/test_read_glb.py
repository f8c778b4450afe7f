"""glTF 2.0 against its specification; trimesh, a general-purpose library, gives a second opinion."""

import tracemalloc
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from files.gltf_scene import (
    BOX,
    BYTE,
    SHORT,
    UNSIGNED_BYTE,
    UNSIGNED_INT,
    UNSIGNED_SHORT,
    Scene,
    box,
    refusal,
    volume_of,
)
from files.mesh_text import volume
from holdwright.files.read_glb import read_glb
from holdwright.files.reading import read_sculpt
from holdwright.files.surface import sculpt_of
from holdwright.geometry.repair import pieces
from holdwright.geometry.repair.bodies import Body, bodies_of
from holdwright.geometry.repair.repair_account import Limits


def test_what_a_general_library_writes(tmp_path: Path) -> None:
    turned = trimesh.transformations.rotation_matrix(0.3, [1, 2, 3], [0.4, 0.5, 0.6])
    mirrored = np.diag([-1.0, 2.0, 1.0, 1.0])
    ball = trimesh.creation.icosphere(3, radius=0.06)
    scene = trimesh.Scene()
    scene.add_geometry(ball, node_name="ball", transform=turned)
    scene.add_geometry(BOX, node_name="left", transform=mirrored)
    scene.add_geometry(BOX, node_name="right")
    scene.export(tmp_path / "scene.glb")
    sculpt = read_sculpt(tmp_path / "scene.glb")
    assert (sculpt.format, sculpt.unit, sculpt.notes) == ("GLB", "m", ())
    assert {piece.name for piece in sculpt.pieces} == {"ball", "left", "right"}
    assert sculpt.bounds == pytest.approx(scene.bounds, rel=1e-6)
    volumes = {each.name: trimesh.Trimesh(each.vertices, each.triangles).volume for each in sculpt.pieces}
    expected = {"ball": ball.volume, "left": 2 * BOX.volume, "right": BOX.volume}
    assert volumes == pytest.approx(expected, rel=1e-5)


def test_vertices_parted_by_normals_are_welded() -> None:
    corners = BOX.vertices[BOX.faces].reshape(-1, 3)
    surface = read_glb(Scene().primitive(corners).glb())
    assert len(surface.vertices) == 8
    assert trimesh.Trimesh(surface.vertices, surface.triangles, process=False).is_watertight
    two = Scene().primitive(corners[:18]).primitive(corners[18:])
    surface = read_glb(two.glb())
    assert len(surface.vertices) == 8
    assert surface.names == [b"mesh 0"]
    assert volume_of(surface) == pytest.approx(24)


@pytest.mark.parametrize("kind", [UNSIGNED_BYTE, UNSIGNED_SHORT, UNSIGNED_INT])
def test_kinds_of_indices(kind: int) -> None:
    assert volume_of(read_glb(box(kind).glb())) == pytest.approx(24)


@pytest.mark.parametrize("escape", [False, True])
def test_json_with_its_bytes_embedded(tmp_path: Path, escape: bool) -> None:
    path = tmp_path / "box.gltf"
    path.write_bytes(box().gltf(escape))
    sculpt = read_sculpt(path)
    assert sculpt.format == "glTF"
    assert volume(sculpt) == pytest.approx(24)


def test_strips_and_fans() -> None:
    """A tetrahedron as one strip (glTF 2.0, 3.7.2.1), and a pyramid whose sides are a fan."""
    corners = [[0, 0, 0], [0, 1, 0], [1, 0, 0], [0, 0, 1]]
    strip = Scene().primitive(corners, [0, 1, 2, 3, 0, 1], mode=5)
    assert volume_of(read_glb(strip.glb())) == pytest.approx(1 / 6)
    base = [[1, 1, 0], [-1, 1, 0], [-1, -1, 0], [1, -1, 0]]
    sides = [[0, 0, 3], *base, base[0]]
    pyramid = Scene().primitive(sides, mode=6).primitive(base, [0, 2, 1, 0, 3, 2])
    assert volume_of(read_glb(pyramid.glb())) == pytest.approx(4)


def test_stride_and_offset() -> None:
    scene = Scene()
    rows = np.zeros((9, 5), dtype="<f4")
    rows[1:, 1:4] = BOX.vertices
    scene.primitive(BOX.vertices, BOX.faces)
    view = scene.view(rows.tobytes(), byteStride=20)
    scene.root["accessors"][0] |= {"bufferView": view, "byteOffset": 24}
    assert volume_of(read_glb(scene.glb())) == pytest.approx(24)


@pytest.mark.parametrize("with_base", [True, False])
def test_sparse(with_base: bool) -> None:
    scene = Scene().primitive(BOX.vertices, BOX.faces)
    first = scene.root["accessors"][0]
    moved = BOX.vertices.copy()
    moved[moved[:, 2] > 0, 2] += 1
    if not with_base:
        del first["bufferView"]
    rows = np.flatnonzero(BOX.vertices[:, 2] > 0) if with_base else np.arange(8)
    first["sparse"] = {
        "count": len(rows),
        "indices": {"bufferView": scene.view(rows.astype("<u2").tobytes()), "componentType": UNSIGNED_SHORT},
        "values": {"bufferView": scene.view(moved[rows].astype("<f4").tobytes())},
    }
    assert volume_of(read_glb(scene.glb())) == pytest.approx(30)
    first["sparse"]["count"] = 9
    assert "sparse part" in refusal(scene.glb())


@pytest.mark.parametrize(("kind", "most"), [(SHORT, 32767), (BYTE, 127), (UNSIGNED_SHORT, 65535)])
def test_normalised_integers(kind: int, most: int) -> None:
    """KHR_mesh_quantization; glTF 2.0, 3.11: c / 127, c / 65535 and so on."""
    low = 0 if kind == UNSIGNED_SHORT else -most
    corners = np.where(BOX.vertices > 0, most, low)
    scene = Scene().primitive(BOX.vertices, BOX.faces)
    scene.root["meshes"][0]["primitives"][0]["attributes"]["POSITION"] = scene.accessor(
        corners, kind, normalized=True
    )
    assert "positions" in refusal(scene.glb())
    for name in ("extensionsUsed", "extensionsRequired"):
        scene.root[name] = ["KHR_mesh_quantization"]
    assert volume_of(read_glb(scene.glb())) == pytest.approx(1 if low == 0 else 8)


def test_nodes_below_nodes() -> None:
    """The product of all transforms above, as trimesh finds it too."""
    half = float(np.sqrt(0.5))
    scene = box()
    scene.root["nodes"] = [
        {"children": [1, 2], "translation": [10, 0, 0], "rotation": [0, 0, half, half], "scale": [1, 2, 1]},
        {"mesh": 0, "name": "turned", "translation": [5, 0, 0]},
        {"mesh": 0, "matrix": [0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 7, 1]},
    ]
    surface = read_glb(scene.glb())
    other = trimesh.load_scene(trimesh.util.wrap_as_stream(scene.glb()), file_type="glb")
    assert surface.names == [b"turned", b"mesh 0"]
    ends = [surface.vertices.min(axis=0), surface.vertices.max(axis=0)]
    assert np.array(ends) == pytest.approx(other.bounds, rel=1e-6, abs=1e-6)
    assert surface.vertices[:8].mean(axis=0) == pytest.approx([10, 5, 0], abs=1e-6)
    assert volume_of(surface) == pytest.approx(96)


def test_only_the_scene_to_show() -> None:
    scene = box()
    scene.root["nodes"] += [{"mesh": 0, "scale": [3, 3, 3]}, {"mesh": 0, "scale": [0, 0, 0]}]
    assert volume_of(read_glb(scene.glb())) == pytest.approx(24)
    scene.root["scenes"].append({"nodes": [1, 2]})
    scene.root["scene"] = 1
    surface = read_glb(scene.glb())
    assert volume_of(surface) == pytest.approx(24 * 27)
    assert any("scaled to nothing" in note for note in surface.notes)
    del scene.root["scenes"], scene.root["scene"]
    assert volume_of(read_glb(scene.glb())) == pytest.approx(24 * 28)


def test_lines_are_passed_over_with_a_note() -> None:
    scene = box().primitive(BOX.vertices, [0, 1], mode=1)
    surface = read_glb(scene.glb())
    assert volume_of(surface) == pytest.approx(24)
    assert any("lines" in note for note in surface.notes)
    assert "no triangles" in refusal(Scene().primitive(BOX.vertices, [0, 1], mode=1).glb())


@pytest.mark.parametrize("escape", [False, True])
def test_embedded_bytes_are_decoded_in_bounded_space(escape: bool) -> None:
    scene = box()
    scene.view(np.random.default_rng(1).bytes(3_000_000))
    content = scene.gltf(escape)
    tracemalloc.start()
    surface = read_glb(content)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert volume_of(surface) == pytest.approx(BOX.volume)
    assert most < 4 * len(content)


def test_names_that_look_like_data() -> None:
    scene = box()
    scene.root["meshes"][0]["name"] = 'data:"a\\'
    scene.root["nodes"][0]["name"] = 'x "data:'
    assert read_glb(scene.gltf()).names == [b'x "data:']


def test_a_mesh_placed_many_times_is_taken_apart_once(monkeypatch: pytest.MonkeyPatch) -> None:
    taken = []

    def taking(group: Any) -> list[Body]:
        taken.append(group)
        return bodies_of(group)

    monkeypatch.setattr(pieces, "bodies_of", taking)
    scene = box()
    turns = [
        trimesh.transformations.random_rotation_matrix(num)
        for num in np.random.default_rng(2).random((30, 3))
    ]
    places = np.random.default_rng(3).uniform(-900.0, 900.0, (30, 3)) + 1e5
    for turn, place in zip(turns, places, strict=True):
        turn[:3, 3] = place
    turns += [np.diag([1.0, 1.0, -1.0, 1.0]), np.diag([2.0, 1.0, 1.0, 1.0])]
    scene.root["nodes"] = [{"mesh": 0, "matrix": turn.T.ravel().tolist()} for turn in turns]
    scene.root["scenes"][0]["nodes"] = list(range(len(turns)))
    sculpt = sculpt_of(read_glb(scene.glb()), "box", "", "GLB")
    found = pieces.take_apart(sculpt, limits=Limits(2000.0))
    assert len(taken) == 3  # the first, its mirror image, and one that is stretched
    for piece, group in zip(found, sculpt.pieces, strict=True):
        assert piece.solid is not None
        assert piece.solid.volume == pytest.approx(48.0 if group is sculpt.pieces[-1] else 24.0)
        low, high = group.vertices.min(axis=0), group.vertices.max(axis=0)
        assert piece.bounds == pytest.approx(np.array([low, high]), abs=1e-8)
