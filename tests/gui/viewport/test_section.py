"""Cut faces measured against the areas geometry books give."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from holdwright.pipeline.views.display_results import surface_of
from holdwright.render.contour import CutPlane, cap_of, outline_of
from shapes import block, boulder, frustum, ring, sphere


@pytest.fixture(scope="session")
def cut_area(cap_area) -> Callable[..., float]:
    """Gives the area in which a plane cuts a solid, mm2."""

    def area(solid, origin, normal) -> float:
        unit = np.array(normal, dtype=float) / np.linalg.norm(normal)
        plane = CutPlane(np.array(origin, dtype=float), unit)
        return cap_area(cap_of(*outline_of(surface_of(solid), plane)))

    return area


@pytest.mark.parametrize(
    ("origin", "normal", "area"),
    [
        ((10, 0, 0), (1, 0, 0), 80 * 40),
        ((0, 0, 12.5), (0, 0, -1), 100 * 80),
        ((0, 0, 20), (1, 1, 0), 80 * np.sqrt(2) * 40),
        ((51, 0, 0), (1, 0, 0), 0),
    ],
)
def test_a_box(origin, normal, area, cut_area):
    assert cut_area(block(100, 80, 40), origin, normal) == pytest.approx(area, rel=1e-5)


@pytest.mark.parametrize("height", [0.3, 20.0, 45.0])
def test_a_ball(height, cut_area):
    """A plane at distance h from the middle of a ball of radius r meets it in pi (r2 - h2)."""
    area = cut_area(sphere(50.0, 512), (0, height, 0), (0, 1, 0))
    assert area == pytest.approx(np.pi * (50.0**2 - height**2), rel=1e-3)


def test_a_cone_frustum_across_and_along(cut_area):
    cone = frustum(40, 20, 50, 512)
    assert cut_area(cone, (0, 0, 25), (0, 0, 1)) == pytest.approx(np.pi * 30**2, rel=1e-3)
    assert cut_area(cone, (0, 0, 0), (0, 1, 0.0)) == pytest.approx((80 + 40) / 2 * 50, rel=1e-3)


def test_a_hole_stays_open(cut_area):
    tube = ring(40, 20, 20, 512)
    assert cut_area(tube, (0, 0, 7), (0, 0, 1)) == pytest.approx(np.pi * (40**2 - 20**2), rel=1e-3)
    assert cut_area(tube, (0, 0.1, 0), (0, 1, 0)) == pytest.approx(2 * 20 * 20, rel=1e-3)


@settings(deadline=None, max_examples=20)
@given(
    normal=st.tuples(*3 * [st.integers(-3, 3)]).filter(any),
    origin=st.tuples(*3 * [st.integers(-4, 4).map(lambda n: 10 * n)]),
)
def test_any_plane_beside_the_kernel(normal, origin, cut_area):
    """Planes through vertices and along faces too: what the kernel's own slice of the turned solid gives."""
    solid = boulder(50.0, segments=24)
    unit = np.array(normal) / np.linalg.norm(normal)
    across = np.cross(unit, [1, 0, 0] if abs(unit[0]) < 0.8 else [0, 1, 0])
    across /= np.linalg.norm(across)
    frame = np.array([across, np.cross(unit, across), unit])
    turned = solid.kernel.transform(np.column_stack([frame, -frame @ origin]))
    assert cut_area(solid, origin, normal) == pytest.approx(turned.slice(1e-7).area(), rel=1e-4, abs=1e-2)
