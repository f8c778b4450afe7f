"""A view on screen, and solids to show in it."""

from collections.abc import Callable

import pytest
import pyvista

from holdwright.pipeline.views.display_results import ShownSolid, shown_solid
from shapes import block, boulder, ring, sphere


@pytest.fixture
def settle(qtbot, view) -> Callable[[], None]:
    """Waits until the view is at rest and drawn."""

    def wait() -> None:
        with qtbot.waitSignal(view.frame_drawn, timeout=20_000, check_params_cb=bool):
            view.redraw()

    return wait


@pytest.fixture(scope="session")
def box() -> ShownSolid:
    """100 x 80 x 40 mm, standing on z = 0."""
    return shown_solid(block())


@pytest.fixture(scope="session")
def ball() -> ShownSolid:
    """Of radius 50 mm round the origin."""
    return shown_solid(sphere(50.0, 128))


@pytest.fixture(scope="session")
def parts() -> dict[str, ShownSolid]:
    """A ring as shell, and a core that fills it and stands out from nowhere."""
    return {"shell": shown_solid(ring(40.0, 20.0, 20.0)), "core": shown_solid(block(20.0, 20.0, 20.0))}


@pytest.fixture(scope="session")
def lump() -> ShownSolid:
    """Of 120 000 triangles: enough for a stand-in."""
    return shown_solid(boulder(50.0, segments=492))


@pytest.fixture(scope="session")
def cap_area() -> Callable[..., float]:
    """Gives the area of a cut face in mm2."""
    return lambda face: pyvista.wrap(face).area
