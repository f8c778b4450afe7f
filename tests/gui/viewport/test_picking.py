"""Lines of sight against solids of known shape."""

import numpy as np
import pytest

from holdwright.gui.viewport.picking import Probe, Target, first_hit
from holdwright.pipeline.views.display_results import surface_of
from holdwright.render.contour import CutPlane
from shapes import block, sphere

AWAY = np.array([0.0, 0.0, -1.0])


def start(x: float = 0.0, y: float = 0.0) -> np.ndarray:
    return np.array([x, y, 500.0])


def box(lift: float = 0.0, name: str = "whole") -> Target:
    return Target(name, np.array([0.0, 0.0, lift]), Probe(surface_of(block(100, 80, 40))))


def ball() -> Target:
    return Target("ball", np.zeros(3), Probe(surface_of(sphere(50.0, 256))))


def test_the_nearest_face_is_met():
    met = first_hit([box()], start(10, 5), AWAY, 1000.0, None)
    assert met is not None
    assert met.point == pytest.approx([10, 5, 40], abs=1e-4)
    assert met.normal == pytest.approx([0, 0, 1], abs=1e-6)
    assert met.part == "whole"


def test_a_ball_is_met_where_the_sphere_is():
    met = first_hit([ball()], start(30), AWAY, 1000.0, None)
    assert met is not None
    assert met.point == pytest.approx([30, 0, 40], abs=0.05)
    assert met.normal == pytest.approx([0.6, 0, 0.8], abs=0.03)


def test_beside_the_hold_nothing_is_met():
    assert first_hit([box()], start(60), AWAY, 1000.0, None) is None
    assert first_hit([box()], start(), AWAY, 400.0, None) is None
    assert first_hit([], start(), AWAY, 1000.0, None) is None


def test_a_lifted_part_is_met_where_it_lies_at_rest():
    met = first_hit([box(30.0, "shell"), box(0.0, "core")], start(), AWAY, 1000.0, None)
    assert met is not None
    assert met.part == "shell"
    assert met.point == pytest.approx([0, 0, 40], abs=1e-4)


def test_a_section_is_met_on_its_cap():
    cut = CutPlane(np.array([0.0, 0.0, 25.0]), np.array([0.0, 0.0, 1.0]))
    met = first_hit([box()], start(), AWAY, 1000.0, cut)
    assert met is not None
    assert met.point == pytest.approx([0, 0, 25], abs=1e-6)
    assert met.normal == pytest.approx([0, 0, 1])


def test_what_is_cut_away_is_not_met():
    cut = CutPlane(np.array([20.0, 0.0, 0.0]), np.array([1.0, 0.0, 0.0]))
    assert first_hit([box()], start(30), AWAY, 1000.0, cut) is None
    met = first_hit([box()], start(10), AWAY, 1000.0, cut)
    assert met is not None
    assert met.point == pytest.approx([10, 0, 40], abs=1e-4)
    from_the_side = first_hit([box()], np.array([500.0, 3, 7]), np.array([-1.0, 0, 0]), 1000.0, cut)
    assert from_the_side is not None
    assert from_the_side.point == pytest.approx([20, 3, 7], abs=1e-6)
