"""The least wall, beside plates of known thickness."""

import numpy as np
import pytest
from manifold3d import Manifold

from holdwright.geometry.measure.thickness import near_walls
from holdwright.geometry.mesh.solid import Solid
from printed import checked, printed
from shapes import block


@pytest.mark.parametrize(("thickness", "passes"), [(2.01, True), (1.99, False), (0.9, False)])
def test_plate_passes_from_as_many_lines_as_are_asked_for(thickness, passes):
    found = checked("thin_wall", printed(block(60.0, thickness, 40.0)))
    assert found.figure == pytest.approx(thickness, abs=2e-3)
    assert (not found.findings) == passes


@pytest.mark.parametrize("slope", [10.0, 25.0])
def test_in_a_wedge_it_is_square_to_the_far_side(slope):
    """From the base of a wedge, x from its edge, the far side is x sin(a) away."""
    length, rise = 60.0, np.tan(np.radians(slope))
    corners = [(x, y, z) for x, z in ((0, 0), (length, 0), (length, length * rise)) for y in (0, 30)]
    wedge = Solid.checked(Manifold.hull_points(corners).refine(20))
    walls = near_walls(wedge, 10.0, 1e-3)
    x, down = wedge.mesh.corners.mean(axis=1)[:, 0], wedge.mesh.crosses[:, 2] < -1e-9
    low = down & (x * rise < 9.0)
    assert walls[low] == pytest.approx(x[low] * np.sin(np.radians(slope)), abs=2e-3)


def test_an_edge_is_no_wall():
    """Beside a right angle, and one of 45 degrees, there is no wall, however near the other face is."""
    assert not np.isfinite(near_walls(block(40.0, 40.0, 40.0), 6.0, 0.5)).any()
    prism = Solid.checked(
        Manifold.hull_points([(0, 0, 0), (40, 0, 0), (40, 0, 40), (0, 40, 0), (40, 40, 0), (40, 40, 40)])
    )
    assert not np.isfinite(near_walls(Solid.checked(prism.kernel.refine(40)), 6.0, 0.5)).any()
