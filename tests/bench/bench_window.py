"""Times the view on this machine: frames while orbiting, dragging a section, and swapping a mesh.

Run it under a display: ``python tests/bench/bench_window.py``. The last column of the orbit compares with the
same mesh in a bare window of the drawing library, drawn as it comes.
"""

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT / "app"), str(ROOT / "tests")]

from PySide6.QtTest import QTest  # noqa: E402
from PySide6.QtWidgets import QApplication  # noqa: E402
from pyvista import PolyData  # noqa: E402
from pyvistaqt import QtInteractor  # noqa: E402

from holdwright.gui.viewport.viewport import Viewport  # noqa: E402
from holdwright.gui.widgets import style  # noqa: E402
from holdwright.pipeline.views.display_results import ShownSolid, shown_solid  # noqa: E402
from shapes import boulder  # noqa: E402

SIZE = (1180, 840)
FRAMES = 20


def solid_of(triangles: int) -> ShownSolid:
    """A lumpy ball of about so many triangles."""
    segments = 4 * max(round((triangles / 8) ** 0.5), 4)
    return shown_solid(boulder(60.0, segments=segments))


def median_ms(step: Callable[[int], None], app: QApplication) -> float:
    """Median time of a change until it is on screen."""
    times = []
    for number in range(FRAMES):
        start = time.perf_counter()
        step(number)
        app.processEvents()
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def bare_frame_ms(solid: ShownSolid, app: QApplication) -> float:
    """The same surface in a bare interactor."""
    bare = QtInteractor(auto_update=False)
    bare.resize(*SIZE)
    surface = solid.surface
    bare.add_mesh(PolyData.from_regular_faces(surface.vertices, surface.triangles.astype(np.int64)))
    bare.show()
    QTest.qWait(500)

    def turn(_number: int) -> None:
        bare.camera.Azimuth(3)
        bare.update()

    took = median_ms(turn, app)
    bare.close()
    bare.deleteLater()
    return took


def our_times_ms(solid: ShownSolid, other: ShownSolid, app: QApplication) -> tuple[float, float, float]:
    """Orbit, section and swap in our view."""
    view = Viewport()
    view.animated = False
    view.resize(*SIZE)
    view.show_solids({"whole": solid}, keep_camera=False)
    view.show()
    QTest.qWait(2000)
    orbit = median_ms(lambda _n: view.set_pose(view.pose.turned(3.0, 0.0)), app)
    section = median_ms(lambda n: view.set_section((n - 10.0, 0, 0), (1, 0, 0)), app)
    view.clear_section()
    swap = median_ms(lambda n: view.show_solids({"whole": (solid, other)[n % 2]}), app)
    view.close()
    view.deleteLater()
    return orbit, section, swap


def main() -> None:
    """Print the table."""
    app = QApplication(sys.argv[:1])
    style.apply(app, "light")
    print(
        f"{'triangles':>10} {'orbit':>8} {'section':>8} {'swap':>8} {'bare orbit':>11} {'bare/ours':>10} ms"
    )
    for wanted in (30_000, 150_000, 1_000_000):
        solid, other = solid_of(wanted), solid_of(wanted)
        orbit, section, swap = our_times_ms(solid, other, app)
        bare = bare_frame_ms(solid, app)
        count = len(solid.surface.triangles)
        print(f"{count:>10} {orbit:>8.0f} {section:>8.0f} {swap:>8.0f} {bare:>11.0f} {bare / orbit:>10.1f}")


if __name__ == "__main__":
    main()
