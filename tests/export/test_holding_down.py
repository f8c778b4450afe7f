"""Corner tabs and brims: parts of their own, in the files alone."""

from pathlib import Path

import numpy as np
import pytest
import trimesh

import finished
import shapes
from holdwright.errors import ParameterError
from holdwright.export.job import export
from holdwright.export.options import ExportOptions
from holdwright.hold.hold import WHOLE


def test_corner_tabs_are_parts_of_their_own(tmp_path: Path) -> None:
    """A block of 60 x 60 mm has four corners: discs of 8 mm, a quarter of each within the block."""
    made = finished.job(parts={WHOLE: shapes.block(60, 60, 20)})
    options = ExportOptions(tabs=True)
    written = export(made, tmp_path, ["stl", "3mf"], options=options)
    tabs = [f"tab {number}" for number in (1, 2, 3, 4)]
    assert list(written.report.solids) == ["whole", *tabs]
    scene = trimesh.load(tmp_path / "boulder.3mf")
    assert sorted(scene.geometry) == [*tabs, "whole"]
    whole = trimesh.load_mesh(tmp_path / "boulder-whole.stl")
    for name in tabs:
        tab = trimesh.load_mesh(tmp_path / f"boulder-{name.replace(' ', '-')}.stl")
        assert tab.is_volume
        assert tab.bounds[:, 2] == pytest.approx([0.0, 0.4], abs=1e-6)
        # Three quarters of a disc, and 0.2 mm along both sides of the corner that reach into the block.
        area = 0.75 * np.pi * 64 + 2 * 8 * 0.2 - 0.2**2
        assert tab.volume == pytest.approx(0.4 * area, rel=0.01)
        assert np.linalg.norm(whole.vertices - tab.centroid, axis=1).min() < 8.0
    assert written.report.pose.size[:2] == pytest.approx((76, 76), abs=0.1)
    assert [path.name for path in export(made, tmp_path, ["stl"]).older if "tab" in path.name] == [
        f"boulder-tab-{number}.stl" for number in (1, 2, 3, 4)
    ]


def test_a_brim_is_a_part_of_its_own(tmp_path: Path) -> None:
    made = finished.job(parts={WHOLE: shapes.block(60, 60, 20)})
    written = export(made, tmp_path, ["stl", "3mf"], options=ExportOptions(brim=8.0, tabs=True))
    assert list(written.report.solids)[:2] == ["whole", "brim"]
    assert sorted(trimesh.load(tmp_path / "boulder.3mf").geometry) == sorted(written.report.solids)
    rim = trimesh.load_mesh(tmp_path / "boulder-brim.stl")
    assert rim.is_volume
    assert rim.extents == pytest.approx((76.0, 76.0, 0.4), abs=0.01)
    for width in (-1.0, 60.0, float("nan")):
        with pytest.raises(ParameterError, match=r"A brim .* mm wide was requested; choose up to 50 mm"):
            ExportOptions(brim=width)
