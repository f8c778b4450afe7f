"""Pictures for sheet and files measured: to scale, in the parts' colours, cut where they should be."""

import io
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import shapes
from holdwright.errors import ExportError, ParameterError
from holdwright.geometry.mesh.boolean import split, subtract
from holdwright.geometry.mesh.frame import placement
from holdwright.hold.hold import CORE, SHELL, WHOLE
from holdwright.render import off_screen as screen
from holdwright.render.contour import CutPlane
from holdwright.render.picture import Pictures, View, picture_of

ROOT = Path(__file__).resolve().parents[2]
SCALE = 2.5


@pytest.fixture(scope="module")
def pictures() -> Pictures:
    """A block 100 x 80 x 40, bored 10 mm wide, with a core of 30 to 20 mm radius, 25 mm high."""
    bore = shapes.frustum(5, 5, 60).moved(placement(shift=np.array([0, 0, -10.0])))
    core, shell = split(subtract(shapes.block(), [bore]), shapes.frustum(30, 20, 25), "core", "shell")
    made = Pictures({SHELL: shell, CORE: core})
    try:
        made.drawn(View("front"), (8, 8), 1.0)
    except ExportError as reason:
        pytest.skip(str(reason))
    return made


@pytest.mark.parametrize(
    ("view", "wide", "high"), [("front", 100, 80), ("back", 100, 80), ("side", 40, 80)], ids=str
)
def test_a_block_is_drawn_to_scale_in_the_middle(pictures, view, wide, high):
    seen = View(view)
    assert np.ptp(pictures.extent(seen), axis=0) == pytest.approx((wide, high))
    inked = (pictures.drawn(seen, (300, 240), SCALE) < 250).any(axis=-1)
    rows, columns = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    assert columns[-1] - columns[0] + 1 == pytest.approx(wide * SCALE, abs=3)
    assert rows[-1] - rows[0] + 1 == pytest.approx(high * SCALE, abs=3)
    assert (columns[0] + columns[-1]) / 2 == pytest.approx(149.5, abs=1.5)


def test_the_core_is_teal_the_shell_is_not_and_the_bore_lets_the_ground_through(pictures):
    back = pictures.drawn(View("back"), (300, 240), SCALE).astype(int)
    core, shell, bore = back[120, 150 + 50], back[120, 150 + 100], back[120, 150]
    assert core[2] > core[0] + 40
    assert shell[0] > shell[2] + 20
    assert bore.tolist() == [255, 255, 255]


def test_a_section_shows_the_cut_faces_of_both_parts(pictures):
    plane = CutPlane(np.zeros(3), np.array([1.0, 0.0, 0.0]))
    cut = pictures.drawn(View("side", plane), (300, 240), SCALE).astype(int)
    uncut = pictures.drawn(View("side"), (300, 240), SCALE).astype(int)
    # Seen from +x the wall is at the right; 12 mm off the middle the core is cut, 35 mm off it the shell.
    core, shell = (slice(120 - round(SCALE * off) - 6, 120 - round(SCALE * off) + 6) for off in (12, 35))
    assert cut[core, 178:198, 2].mean() > cut[core, 178:198, 0].mean() + 10
    assert cut[shell, 178:198, 0].mean() > cut[shell, 178:198, 2].mean() + 10
    assert uncut[core, 178:198, 0].mean() > uncut[core, 178:198, 2].mean() + 10


def test_a_thumbnail_is_a_png_filled_by_the_hold():
    try:
        made = picture_of({WHOLE: shapes.block()}, "front", (128, 96))
    except ExportError as reason:
        pytest.skip(str(reason))
    with Image.open(io.BytesIO(made)) as image:
        assert (image.format, image.size) == ("PNG", (128, 96))
        inked = (np.asarray(image) < 250).any(axis=-1)
    assert inked.any(axis=1).sum() == pytest.approx(96 / 1.08, abs=4)


def test_what_makes_no_picture_is_said():
    with pytest.raises(ParameterError, match=r"from 'askew'.*corner"):
        View("askew")
    with pytest.raises(ParameterError, match="no solid"):
        Pictures({})


def test_a_machine_without_opengl_is_told_so(monkeypatch):
    class Last:
        def GetClassName(self) -> str:  # noqa: N802
            return "vtkOSOpenGLRenderWindow"

    monkeypatch.setattr(screen, "vtkRenderWindow", Last)
    monkeypatch.setattr(screen.ctypes.util, "find_library", lambda _: None)
    with pytest.raises(ExportError, match="no OpenGL"):
        picture_of({WHOLE: shapes.block()})


@pytest.mark.skipif(sys.platform != "linux", reason="only there are displays and GL vendors chosen so")
@pytest.mark.parametrize(
    "surroundings",
    [{}, {"DISPLAY": ":987"}, {"__EGL_VENDOR_LIBRARY_FILENAMES": "/nowhere.json"}],
    ids=["no display", "wrong display", "no GL at all"],
)
def test_it_draws_or_says_why_without_a_display(surroundings, tmp_path):
    code = (
        "import sys; sys.path[:0] = ['app', 'tests']\n"
        "from pathlib import Path\nimport shapes\nfrom holdwright.errors import HoldwrightError\n"
        "from holdwright.render.picture import picture_of\n"
        f"path = Path({str(tmp_path / 'p.png')!r})\n"
        "try: path.write_bytes(picture_of({'whole': shapes.block()}, 'corner', (32, 24)))\n"
        "except HoldwrightError as error: print(error)\n"
    )
    bare = {name: value for name, value in os.environ.items() if name not in {"DISPLAY", "WAYLAND_DISPLAY"}}
    answer = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env=bare | surroundings,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (answer.returncode, answer.stderr) == (0, "")
    assert "no OpenGL" in answer.stdout or (tmp_path / "p.png").stat().st_size > 100
