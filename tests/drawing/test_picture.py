"""Pictures measured: what stands where, how large, in which colour."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import shapes
from drawing.colour import LIMESTONE_CUT, PAPER_FOOT, PAPER_TOP, TEAL_CUT, encoded, linear
from drawing.picture import drawn, save_picture
from drawing.rasteriser import FrameBuffer
from holdwright.errors import ExportError, ParameterError
from holdwright.geometry.mesh.boolean import split, subtract
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import CORE, SHELL, WHOLE

ROOT = Path(__file__).resolve().parents[2]
SIZE = (300, 240)


@pytest.fixture(scope="module", autouse=True)
def _gl() -> None:
    try:
        FrameBuffer(np.eye(3), (8, 8)).close()
    except ExportError as reason:
        pytest.skip(str(reason))


def parts() -> dict[str, Solid]:
    """A block 100 x 80 x 40, bored 10 mm wide, with a core of 30 to 20 mm radius, 25 mm high."""
    bore = shapes.frustum(5, 5, 60).moved(placement(shift=np.array([0, 0, -10.0])))
    core, shell = split(subtract(shapes.block(), [bore]), shapes.frustum(30, 20, 25), "core", "shell")
    return {SHELL: shell, CORE: core}


def drawn_on(image: np.ndarray, size: tuple[int, int] = SIZE) -> np.ndarray:
    """(height, width): where the picture differs from bare paper."""
    share = np.linspace(0, 1, size[1] * 2)[:, None].reshape(size[1], 2, 1).mean(axis=1)
    paper = encoded(linear(PAPER_TOP) * (1 - share) + linear(PAPER_FOOT) * share)
    return np.abs(image - paper[:, None]).max(axis=-1) > 3


def test_a_block_is_drawn_to_scale_in_the_middle():
    seen = drawn_on(drawn({WHOLE: shapes.block()}, "front", SIZE, wall=False))
    rows, columns = np.flatnonzero(seen.any(axis=1)), np.flatnonzero(seen.any(axis=0))
    # 100 x 80 mm, with an eighth or so of room: 300 x 240 pixels are 112 x 89.6 mm, the line lies on top.
    per_mm = 300 / 112
    assert columns[-1] - columns[0] + 1 == pytest.approx(100 * per_mm, abs=4)
    assert rows[-1] - rows[0] + 1 == pytest.approx(80 * per_mm, abs=4)
    assert (columns[0] + columns[-1]) / 2 == pytest.approx(149.5, abs=1.5)
    assert (rows[0] + rows[-1]) / 2 == pytest.approx(119.5, abs=1.5)


@pytest.mark.parametrize("view", ["front", "above", "three_quarter", "below", "side", "back"])
def test_every_view_shows_the_whole_hold(view):
    seen = drawn_on(drawn({WHOLE: shapes.boulder(segments=48)}, view, (150, 120), wall=False), (150, 120))
    assert seen.mean() > 0.3
    assert not np.concatenate([seen[0], seen[-1], seen[:, 0], seen[:, -1]]).any()


def test_a_section_shows_both_parts_in_their_areas():
    image = drawn(parts(), "side", (600, 480), section=0.0).astype(float)
    areas = []
    for colour in (LIMESTONE_CUT, TEAL_CUT):
        code = encoded(linear(colour))
        # Hatching darkens a cut face here and there: the hue tells, not the lightness.
        hue = image / image.sum(axis=-1, keepdims=True)
        areas.append(
            (np.abs(hue - code / code.sum()).max(axis=-1) < 0.012)[drawn_on(image, (600, 480))].sum()
        )
    # On the cut plane: the core is a trapezium 60 to 40 wide and 25 high, the bore 10 wide off both.
    core = (60 + 40) / 2 * 25 - 10 * 25
    shell = 80 * 40 - 10 * 40 - core
    assert areas[1] / areas[0] == pytest.approx(core / shell, rel=0.08)


def test_the_wall_takes_a_shadow_below_and_right_and_none_far_off():
    solid = {WHOLE: shapes.frustum(20, 20, 40)}
    image = drawn(solid, "front", (200, 200)).astype(int).sum(axis=-1)
    bare = drawn(solid, "front", (200, 200), wall=False).astype(int).sum(axis=-1)
    darker = bare - image
    assert darker[192:, 192:].mean() > darker[:8, :8].mean() + 10


def test_pictures_are_the_same_each_time():
    assert np.array_equal(drawn(parts(), "back", (120, 90)), drawn(parts(), "back", (120, 90)))


def test_a_core_moved_apart_needs_more_room():
    together = drawn_on(drawn(parts(), "side", (150, 120)), (150, 120))
    apart = drawn_on(drawn(parts(), "side", (150, 120), apart=60.0), (150, 120))
    ratios = [np.ptp(np.flatnonzero(seen.any(axis=0))) for seen in (together, apart)]
    assert ratios[1] > 1.3 * ratios[0]


def test_the_file_is_a_png_of_the_size_asked_for(tmp_path):
    path = tmp_path / "new" / "hold.png"
    save_picture(drawn({WHOLE: shapes.block()}, size=(64, 48)), path)
    with Image.open(path) as image:
        assert (image.format, image.size) == ("PNG", (64, 48))


def test_what_makes_no_picture_is_said(tmp_path):
    with pytest.raises(ParameterError, match=r"from 'askew'.*three_quarter"):
        drawn({WHOLE: shapes.block()}, "askew")
    with pytest.raises(ParameterError, match="no solid"):
        drawn({})
    with pytest.raises(ParameterError, match="800 by 0"):
        drawn({WHOLE: shapes.block()}, size=(800, 0))
    blocked = tmp_path / "file"
    blocked.write_text("")
    with pytest.raises(ExportError, match="cannot be written"):
        save_picture(np.zeros((16, 16, 3), dtype=np.uint8), blocked / "hold.png")
    with pytest.raises(ParameterError, match="all lies beyond it"):
        drawn(parts(), "side", SIZE, section=-200.0)
