"""Gaps of known width and depth: those within the range are found, those beside it are not."""

import numpy as np
import pytest
from manifold3d import CrossSection, Manifold

from holdwright.geometry.measure.narrow_gaps import narrow_gaps
from holdwright.geometry.mesh.solid import Solid
from shapes import block, boulder

TOP = 40.0
WHOLE = block(56.0, 40.0, TOP).kernel
NEAR = 1.4
"""The lattice has cells of 8 / 6 mm."""


def found(cutter: Manifold, **more):
    return narrow_gaps([Solid.checked(WHOLE - cutter).mesh], 8.0, 25.0, **more)


def slot(width: float, depth: float) -> Manifold:
    return Manifold.cube((width, 200.0, 2 * depth), True).translate((3.3, 0.0, TOP))


def drilled(width: float, depth: float) -> Manifold:
    return Manifold.cylinder(2 * depth, width / 2, width / 2, 96).translate((3.3, 2.1, TOP - depth))


def cleft(angle: float) -> Manifold:
    """Cut 25 mm deep whose walls meet at so many degrees."""
    half = 30.0 * np.tan(np.radians(angle / 2.0))
    outline = np.array([[0.0, TOP - 25.0], [half, TOP + 5.0], [-half, TOP + 5.0]])
    return Manifold.extrude(CrossSection([outline]), 200.0).rotate((90, 0, 0)).translate((0, 100, 0))


@pytest.mark.parametrize("cut", [slot, drilled])
@pytest.mark.parametrize("width", [8.5, 15.0, 24.0])
def test_a_gap_within_the_range_has_its_width_and_depth(cut, width):
    (gap,) = found(cut(width, 20.0))
    assert gap.width == pytest.approx(width, abs=0.05)
    assert gap.depth == pytest.approx(20.0, abs=NEAR if width < 20.0 else 4.0)
    assert not gap.through
    assert gap.place[2] == pytest.approx(20.0, abs=NEAR)
    assert abs(gap.place[0] - 3.3) <= width / 2.0


@pytest.mark.parametrize("cut", [slot, drilled])
@pytest.mark.parametrize("width", [7.5, 25.5])
def test_a_gap_beside_the_range_is_none(cut, width):
    assert found(cut(width, 20.0)) == []


def test_a_shallow_gap_is_shallow_and_one_less_deep_than_half_its_width_is_none():
    (gap,) = found(slot(12.0, 9.0))
    assert gap.depth == pytest.approx(9.0, abs=NEAR)
    assert found(slot(15.0, 5.0)) == []


def test_a_hole_that_goes_through_counts_as_long_as_it_is():
    bar = Manifold.cube((80.0, 20.0, 70.0), True).translate((0, 0, 35))
    hole = Manifold.cylinder(100.0, 7.5, 7.5, 64, True).rotate((90, 0, 0)).translate((0, 0, 45))
    (gap,) = narrow_gaps([Solid.checked(bar - hole).mesh], 8.0, 25.0)
    assert gap.through
    assert (gap.width, gap.depth) == pytest.approx((15.0, 20.0), abs=2 * NEAR)


def test_sharp_clefts_are_deep_and_wide_ones_are_none():
    # A finger 8 mm thick goes in until it rests on both walls.
    (sharp,) = found(cleft(30.0))
    assert sharp.depth == pytest.approx(25.0 - 4.0 * (1.0 / np.sin(np.radians(15.0)) - 1.0), abs=NEAR)
    assert 8.0 < sharp.width < 2.0 * 25.0 * np.tan(np.radians(15.0))
    assert max((gap.depth for gap in found(cleft(100.0))), default=0.0) < 5.0


def test_what_is_left_out_and_what_is_smooth_is_none():
    assert (
        found(drilled(15.0, 20.0), left_out=lambda places: np.hypot(*(places[:, :2] - [3.3, 2.1]).T) < 9)
        == []
    )
    assert narrow_gaps([boulder().mesh], 8.0, 25.0, back=-20.0) == []


def test_a_closed_hollow_and_a_filled_one_are_none():
    hollow = Manifold.cube((15.0, 30.0, 15.0), True).translate((0, 0, 20))
    assert found(hollow) == []
    shell, core = (Solid.checked(each) for each in (WHOLE - slot(15.0, 20.0), slot(15.0, 20.0) ^ WHOLE))
    assert narrow_gaps([shell.mesh, core.mesh], 8.0, 25.0) == []
