"""glTF files that break the rules, or ask for more than fits: one sentence each."""

import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from files.gltf_scene import BOX, FLOAT, UNSIGNED_INT, Scene, box, put, refusal
from holdwright.errors import InputError
from holdwright.files.reading import read_sculpt


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (put("buffers.0.uri", "jug.bin"), "another file"),
        (put("buffers.0.uri", "file:///etc/passwd"), "another file"),
        (put("buffers.0.uri", "data:,abc"), "base64"),
        (put("buffers.0.uri", "data:text/plain;base64,###"), "base64"),
        (put("buffers.0.uri", "data:text/plain;base64,AAAA"), "should have"),
        (put("buffers.0.byteLength", 10**9), "should have"),
        (put("bufferViews.0.byteLength", 10**6), "ends at byte"),
        (put("bufferViews.0.byteOffset", -4), "byteOffset"),
        (put("bufferViews.0.byteStride", 4), "stride"),
        (put("bufferViews.0.buffer", 3), "buffers"),
        (put("accessors.0.count", 9), "more than"),
        (put("accessors.0.count", 10**12), "more than"),
        (put("accessors.0.count", 1.5), "whole number"),
        (put("accessors.0.count", True), "whole number"),
        (put("accessors.0.byteOffset", 8), "more than"),
        (put("accessors.0.type", "VEC4"), "VEC4"),
        (put("accessors.0.componentType", UNSIGNED_INT), "cannot have"),
        (put("accessors.1.componentType", FLOAT), "cannot have"),
        (put("accessors.1.count", 35), "three to each"),
        (put("meshes.0.primitives.0.mode", 9), "mode 9"),
        (put("meshes.0.primitives.0.attributes.POSITION", 7), "accessors"),
        (put("nodes.0.mesh", 1), "meshes"),
        (put("nodes.0.children", [0]), "within itself"),
        (put("nodes.0.matrix", [1] * 15), "16 finite numbers"),
        (put("nodes.0.matrix", [*range(15), 2]), "distorts"),
        (put("nodes.0.translation", [0, 0, "x"]), "finite numbers"),
        (put("nodes.0.rotation", [0, 0, 0, 0]), "unit quaternion"),
        (put("nodes.0.scale", [1e200, 1e200, 1e200]), "coordinate"),
        (put("scenes.0.nodes", [0, 0]), "two places"),
        (put("scenes.0.nodes", [4]), "nodes"),
        (put("scenes", {}), "not a list"),
        (put("extensionsRequired", ["KHR_draco_mesh_compression"]), "KHR_draco_mesh_compression"),
        (put("asset.version", "1.0"), "version"),
        (put("asset", None), "no asset"),
    ],
)
def test_files_that_break_the_rules(change: Any, reason: str) -> None:
    scene = box()
    change(scene)
    assert reason in refusal(scene.glb())


def test_an_index_beyond_the_vertices() -> None:
    assert "vertex 8" in refusal(Scene().primitive(BOX.vertices, [0, 1, 8]).glb())
    wrong = BOX.vertices.copy()
    wrong[3, 1] = np.nan
    assert "not a finite number" in refusal(Scene().primitive(wrong, BOX.faces).glb())


def test_broken_containers() -> None:
    sound = box().glb()
    assert "counts" in refusal(sound[:-4])
    assert "header" in refusal(sound[:16])
    assert "version 1" in refusal(sound[:4] + b"\x01" + sound[5:])
    assert "not the JSON" in refusal(sound[:16] + b"XXXX" + sound[20:])
    assert "JSON" in refusal(b'{"asset": {"version": "2.0"}, "nodes": [NaN]}')
    assert "too deep" in refusal(b'{"asset": ' + b"[" * 200_000)
    assert "JSON has" in refusal(b'{"asset": {"version": "2.0"}, "x": "' + b"y" * (17 << 20) + b'"}')


def test_the_same_bytes_over_and_over() -> None:
    """Small files that ask for more than fits any memory: refused early."""
    ball = trimesh.creation.icosphere(5)
    scene = Scene().primitive(ball.vertices, ball.faces)
    scene.root["meshes"][0]["primitives"] *= 20_000
    started = time.process_time()
    assert "too often" in refusal(scene.glb())
    scene.root["meshes"][0]["primitives"] = scene.root["meshes"][0]["primitives"][:1]
    scene.root["nodes"] = [{"mesh": 0}] * 20_000
    scene.root["scenes"][0]["nodes"] = list(range(20_000))
    assert "would make" in refusal(scene.glb())
    scene.root["nodes"] = [{"mesh": 0}]
    scene.root["scenes"][0]["nodes"] = [0]
    scene.root["accessors"] = [{"componentType": FLOAT, "type": "VEC3", "count": 10**10}]
    assert "no bytes" in refusal(scene.glb())
    assert time.process_time() - started < 20


def test_a_refusal_names_the_file(tmp_path: Path) -> None:
    path = tmp_path / "wrong.glb"
    path.write_bytes(box().glb()[:-8])
    with pytest.raises(InputError, match=r"^Cannot read wrong\.glb: [^\n]+; [^\n]+\.$"):
        read_sculpt(path)
