"""The least wall, beside plates of known thickness."""

import numpy as np
import pytest
from manifold3d import Manifold

from checks.printed import RIM, checked, printed
from holdwright.geometry.measure.thickness import near_walls
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from shapes import block, sphere


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
    walls = near_walls(wedge, 10.0, 1e-3).thickness
    x, down = wedge.mesh.corners.mean(axis=1)[:, 0], wedge.mesh.crosses[:, 2] < -1e-9
    low = down & (x * rise < 9.0)
    assert walls[low] == pytest.approx(x[low] * np.sin(np.radians(slope)), abs=2e-3)


def test_a_hollow_ball_is_as_thick_as_its_radii_differ():
    hollow = Solid.checked(sphere(30.0, 128).kernel - sphere(27.0, 128).kernel)
    walls = near_walls(hollow, 6.0, 1e-3).thickness
    assert walls == pytest.approx(3.0, abs=0.03)


def test_an_edge_is_no_wall():
    """Beside a right angle, and one of 45 degrees, there is no wall, however near the other face is."""
    assert not np.isfinite(near_walls(block(40.0, 40.0, 40.0), 6.0, 0.5).thickness).any()
    prism = Solid.checked(
        Manifold.hull_points([(0, 0, 0), (40, 0, 0), (40, 0, 40), (0, 40, 0), (40, 40, 0), (40, 40, 40)])
    )
    assert not np.isfinite(near_walls(Solid.checked(prism.kernel.refine(40)), 6.0, 0.5).thickness).any()


@pytest.mark.parametrize(("film", "passes"), [(2.05, True), (1.9, False)])
def test_a_thin_shell_before_a_core_is_a_note(film, passes):
    """A core beside the face of a block: what lies before it is thin, but the print goes on behind it."""
    whole, core = block(60.0, 40.0, 30.0).kernel, Manifold.cube((20.0, 20.0, 20.0)).translate((0, -film, 5))
    found = checked("thin_wall", printed(Solid.checked(whole - core), Solid.checked(core)))
    assert (not found.findings) == passes
    if not passes:
        (finding,) = found.findings
        assert (finding.severity, finding.measured) == ("note", pytest.approx(film, abs=1e-6))
        assert "Against the other part the shell" in finding.message


def test_beside_a_hole_a_thin_wall_is_a_note_and_elsewhere_a_warning():
    """A pocket 26 mm wide, 1 mm from the side of a block 28 mm wide."""
    pocketed = Solid.checked(
        block(60.0, 28.0, 30.0).kernel - Manifold.cylinder(40, 13, 13, 96).translate((0, 0, 15))
    )
    bore = Bore(0.0, 0.0, (0.0, 0.0, 1.0), 10.5, 26.0, 15.0, 15.0, "M10", None)
    (beside,) = checked("thin_wall", printed(pocketed, features=(RIM, bore))).findings
    assert (beside.severity, "Beside a hole" in beside.message) == ("note", True)
    (wall,) = checked("thin_wall", printed(pocketed)).findings
    assert (wall.severity, wall.measured) == ("warning", beside.measured)
