import numpy as np
import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.mesh.boolean import union
from holdwright.geometry.mesh.frame import placement
from holdwright.printing.print_parameters import PrintParameters
from holdwright.strength.printed_parts import printed_parts
from holdwright.strength.weakest_section import composite_stress, weakest_section
from shapes import block

RECTANGLE = [np.array([(-20.0, -10.0), (20.0, -10.0), (20.0, 10.0), (-20.0, 10.0)])]


def test_composite_beam_worked_by_hand():
    """Transformed section (Gere and Timoshenko, Mechanics of Materials, from memory), worked by hand.

    Skin of 2 mm round 36 x 16 mm of 0.15 of its modulus: I = 40 * 20^3 / 12 - 0.85 * 36 * 16^3 / 12 =
    16 221.9 mm4; under 30 N m 30 000 * 10 / I = 18.49 MPa in the skin, 0.15 * 30 000 * 8 / I = 2.22 MPa in
    the infill.
    """
    centre, skin, infill, depth = composite_stress(RECTANGLE, 2.0, 0.15, 0.0, np.array([0.0, 30_000.0]))
    assert centre == pytest.approx([0.0, 0.0], abs=1e-9)
    assert skin == pytest.approx(18.494, rel=1e-3)
    assert infill == pytest.approx(2.219, rel=1e-3)
    assert depth == pytest.approx(20.0)


def test_pull_beside_the_centroid_bends_too():
    """Eccentric pull: P / A + P e c / I with A = 800 mm2, I = 26 667 mm4 (handbook formula)."""
    moved = [RECTANGLE[0] + (5.0, 3.0)]
    # 1000 N at 4 mm above the centroid of a section that lies off the origin.
    _, stress, _, _ = composite_stress(moved, 2.0, 1.0, 1000.0, 1000.0 * np.array([5.0, 7.0]))
    assert stress == pytest.approx(1000.0 / 800.0 + 4000.0 * 10.0 / 26_666.7, rel=1e-4)


def test_a_bar_out_of_a_block_is_weakest_at_its_root():
    """Cantilever: 6 F L / (b h^2) (handbook formula) at the last plane before the block."""
    bar = block(130.0, 20.0, 20.0).moved(placement(shift=np.array([85.0, 0.0, 25.0])))
    solid = union([block(60.0, 60.0, 60.0), bar], "the hold")
    part = printed_parts(("shell",), PrintParameters(shell_infill=100.0), load_catalogue())["shell"]
    middle, force = np.array([150.0, 0.0, 35.0]), np.array([0.0, -400.0, 0.0])
    found = weakest_section(solid, part, force, middle, np.array([0.0, 0.0, 35.0]), 40.0)
    lever = 150.0 - found.place[0]
    assert 100.0 < lever < 121.0
    assert found.skin_stress == pytest.approx(6.0 * 400.0 * lever / 20.0**3, rel=0.03)
    assert found.area == pytest.approx(400.0, rel=0.2)


def test_a_blunt_body_has_no_second_opinion():
    part = printed_parts(("shell",), PrintParameters(), load_catalogue())["shell"]
    args = np.array([0.0, -1600.0, 0.0]), np.array([0.0, 30.0, 50.0]), np.array([0.0, 0.0, 25.0])
    assert weakest_section(block(80.0, 80.0, 50.0), part, *args, 40.0) is None
