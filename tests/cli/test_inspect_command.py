import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

import shapes
from holdwright.cli.main import main
from holdwright.geometry.mesh.solid import Solid
from holdwright.units import guess_unit


def mesh(solid: Solid, shift: tuple[float, float, float] = (0, 0, 0)) -> trimesh.Trimesh:
    return trimesh.Trimesh(solid.vertices + np.array(shift), solid.triangles, process=False)


@pytest.fixture
def inspected(capsys: pytest.CaptureFixture[str]) -> Any:
    def inspecting(path: Path) -> tuple[int, Any]:
        code = main(["inspect", str(path), "--json"])
        return code, json.loads(capsys.readouterr().out)

    return inspecting


def test_a_sound_file(tmp_path: Path, inspected: Any) -> None:
    solid = shapes.boulder(50, segments=24)
    mesh(solid).export(tmp_path / "jug.obj")
    code, told = inspected(tmp_path / "jug.obj")
    assert code == 0
    assert set(told) == {
        *("format", "verdict", "reasons", "unit", "unit_guess", "unit_reason", "pieces", "solid")
    }
    assert (told["format"], told["verdict"], told["unit_guess"]) == ("OBJ", "sound", "mm")
    (piece,) = told["pieces"]
    assert piece["closed"] is True
    assert piece["left_out"] is False
    assert piece["triangles"] == solid.triangle_count
    assert piece["volume"] == pytest.approx(solid.volume, rel=1e-6)
    assert piece["size"] == pytest.approx(solid.size.tolist(), rel=1e-6)
    assert told["solid"]["closed"] is True
    assert told["solid"]["volume"] == pytest.approx(solid.volume, rel=1e-6)
    assert told["solid"]["volume_mm3"] is None


def test_a_file_that_declares_its_unit(tmp_path: Path, inspected: Any, capsys: Any) -> None:
    """glTF 2.0 is in metres by its specification, 3.4."""
    block = shapes.block(20, 20, 20)
    trimesh.Trimesh(block.vertices / 1000, block.triangles, process=False).export(tmp_path / "cube.glb")
    code, told = inspected(tmp_path / "cube.glb")
    assert (code, told["format"], told["unit"], told["unit_guess"]) == (0, "GLB", "m", "m")
    assert told["solid"]["volume"] == pytest.approx(8e-6, rel=1e-5)
    assert told["solid"]["volume_mm3"] == pytest.approx(8000, rel=1e-5)
    assert main(["inspect", str(tmp_path / "cube.glb")]) == 0
    assert "unit: m, as the file says" in capsys.readouterr().out


def test_overlapping_loose_and_inside_out(tmp_path: Path, inspected: Any) -> None:
    block = shapes.block(20, 20, 20)
    near, far = mesh(block, (10, 0, 0)), mesh(shapes.block(5, 5, 5), (100, 0, 0))
    near.invert()
    trimesh.util.concatenate([mesh(block), near, far]).export(tmp_path / "three.stl")
    code, told = inspected(tmp_path / "three.stl")
    assert code == 0
    assert told["verdict"] == "mended"
    assert any("inside out" in reason for reason in told["reasons"])
    assert sorted(piece["left_out"] for piece in told["pieces"]) == [False, False, True]
    assert told["solid"]["volume"] == pytest.approx(30 * 20 * 20 + 5**3, rel=1e-6)


def test_a_hole_is_closed_and_told(tmp_path: Path, inspected: Any) -> None:
    block = mesh(shapes.block(20, 20, 20))
    block.update_faces(np.arange(len(block.faces)) > 0)
    block.export(tmp_path / "torn.obj")
    code, told = inspected(tmp_path / "torn.obj")
    assert code == 0
    assert told["verdict"] == "mended"
    (piece,) = told["pieces"]
    assert piece["grade"] == "mended"
    assert piece["done"] == ["1 hole was closed"]
    assert piece["counted"] == [{"what": "holes closed", "count": 1}]
    assert piece["deviation"] == 0.0
    none = {"largest": 0.0, "mean": 0.0, "largest_mm": None, "mean_mm": None}
    assert piece["distance"] == {"sculpt_to_solid": none, "solid_to_sculpt_outside_fills": none}
    assert piece["volume_before"] is None
    assert piece["volume_after"] == pytest.approx(8000, rel=1e-6)
    assert told["solid"]["volume"] == pytest.approx(8000, rel=1e-6)


def test_distances_both_ways_in_mm_where_the_file_says_its_unit(tmp_path: Path, inspected: Any) -> None:
    """Triangles that do not quite meet; glTF 2.0 is in metres by its specification, 3.4."""
    block = mesh(shapes.block(20, 20, 20)).subdivide().subdivide()
    moved = np.random.default_rng(5).normal(0.0, 0.004, (len(block.faces) * 3, 3))
    loose = trimesh.Trimesh(
        block.triangles.reshape(-1, 3) + moved, np.arange(len(moved)).reshape(-1, 3), process=False
    )
    loose.vertices /= 1000
    loose.export(tmp_path / "loose.glb")
    code, told = inspected(tmp_path / "loose.glb")
    assert code == 0
    (piece,) = told["pieces"]
    assert {"close vertices made one"} <= {each["what"] for each in piece["counted"]}
    for way in ("sculpt_to_solid", "solid_to_sculpt_outside_fills"):
        apart = piece["distance"][way]
        assert 0 <= apart["mean_mm"] < apart["largest_mm"] < 0.1
        assert apart["largest_mm"] == pytest.approx(apart["largest"] * 1000)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("missing.obj", None),
        ("empty.stl", b""),
        ("page.ply", b"<html></html>"),
        ("open.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nv 1 1 0.3\nf 1 2 3\nf 2 4 3\n"),
        ("flat.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\nf 3 2 1\n"),
    ],
)
def test_refused(tmp_path: Path, inspected: Any, name: str, content: bytes | None) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    code, told = inspected(tmp_path / name)
    assert code == 3
    assert told["verdict"] == "refused"
    assert told["reasons"]
    assert told["solid"] is None


def test_for_people(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    mesh(shapes.block()).export(tmp_path / "block.ply")
    assert main(["inspect", str(tmp_path / "block.ply")]) == 0
    told = capsys.readouterr().out
    assert "block.ply: sound (PLY)" in told
    assert "volume 320000" in told


@pytest.mark.parametrize(
    ("extent", "unit"),
    [(120.0, "mm"), (12.0, "cm"), (0.12, "m"), (4.7, "inch"), (0.001, None), (1e6, None)],
)
def test_unit_guess(extent: float, unit: str | None) -> None:
    """A hold of 120 mm in each unit; 4.7 inch is 119 mm."""
    assert guess_unit(extent) == unit


def test_pieces_stand_in_columns_with_grade_and_deviation(tmp_path: Path, capsys: Any) -> None:
    whole = mesh(shapes.block(0.1, 0.08, 0.05))
    torn = trimesh.Trimesh(whole.vertices + 0.03, whole.faces[1:], process=False)
    trimesh.Scene({"body": whole, "hood": torn}).export(tmp_path / "jug.obj")
    assert main(["inspect", str(tmp_path / "jug.obj")]) == 0
    lines = capsys.readouterr().out.splitlines()
    head = next(line for line in lines if line.split()[:1] == ["name"])
    rows = [line for line in lines if line.split()[:1] in (["body"], ["hood"])]
    at = head.index("grade")
    assert [row[at:].split("  ")[0] for row in rows] == ["as sculpted", "mended"]
    end = head.index("deviation") + len("deviation")
    assert [float(row[:end].split()[-1]) for row in rows] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert any("m would make it 130 mm" in line for line in lines)
