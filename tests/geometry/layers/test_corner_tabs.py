"""Corners of an outline and the tabs at them, beside closed forms."""

import numpy as np
import pytest
from manifold3d import CrossSection, JoinType, Manifold

from holdwright.geometry.layers.brim import brim
from holdwright.geometry.layers.corner_tabs import LEAST, TabOptions, corner_tabs, tabbed_corners
from holdwright.geometry.layers.layer_stack import polygons
from holdwright.geometry.layers.outline_corners import outline_corners
from holdwright.geometry.measure.sections import section
from holdwright.geometry.mesh.solid import Solid
from shapes import block, frustum


def rounded(radius: float, x: float = 100.0, y: float = 80.0) -> list[np.ndarray]:
    """Outline of a rectangle with corners rounded by a radius."""
    inner = CrossSection.square((x - 2 * radius, y - 2 * radius), True)
    return polygons(inner.offset(radius, JoinType.Round, circular_segments=128))


def test_corners_of_a_square_are_sharp():
    corners = outline_corners(section(block(), 10.0))
    assert sorted(np.round(corner.place, 6).tolist() for corner in corners) == [
        [-50.0, -40.0],
        [-50.0, 40.0],
        [50.0, -40.0],
        [50.0, 40.0],
    ]
    for corner in corners:
        assert (corner.turn, corner.radius) == pytest.approx((90.0, 0.0))
        assert corner.outward == pytest.approx(np.sign(corner.place) / np.sqrt(2.0))


@pytest.mark.parametrize("radius", [1.0, 3.0, 5.0])
def test_a_rounded_corner_has_its_radius(radius):
    corners = outline_corners(rounded(radius))
    assert len(corners) == 4
    for corner in corners:
        assert corner.radius == pytest.approx(radius, rel=0.1)
        tip = np.array([50.0, 40.0]) - radius * (1.0 - np.sqrt(0.5))
        assert np.abs(corner.place) == pytest.approx(tip, abs=0.1)


def test_round_outlines_and_rounder_corners_have_none():
    assert not outline_corners(section(frustum(20.0, 20.0, 5.0), 1.0))
    assert not outline_corners(rounded(20.0))
    assert outline_corners(rounded(20.0), widest=25.0)
    assert corner_tabs(rounded(20.0)) == []


def test_roughness_that_turns_back_is_no_corner():
    around = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    radius = 60.0 + 0.2 * (-1.0) ** np.arange(400)
    assert not outline_corners([np.column_stack([radius * np.cos(around), radius * np.sin(around)])])


@pytest.mark.parametrize("overlap", [0.0, 0.2, -0.15])
def test_tabs_are_thin_solids_outside_the_part(overlap):
    options = TabOptions(thickness=0.8, overlap=overlap, bed=1.0)
    outline = section(block(100.0, 80.0, 40.0), 10.0)
    tabs = corner_tabs(outline, options)
    assert len(tabs) == 4
    part = block(100.0, 80.0, 40.0).kernel.translate((0, 0, -5))
    for tab in tabs:
        assert tab.bounds[:, 2] == pytest.approx([1.0, 1.8])
        # A disc round the corner of a square, less the quarter that lies in it.
        quarter = (np.pi / 4.0 * LEAST**2) - 2.0 * LEAST * overlap
        assert tab.volume == pytest.approx(0.8 * (np.pi * LEAST**2 - quarter), rel=2e-3)
        met = (tab.kernel ^ part).volume()
        assert met <= 0.8 * (2.0 * LEAST * overlap + 1.0) if overlap > 0.0 else met < 1e-6


def test_tabs_do_not_meet_and_reach_over_nothing_but_their_corner():
    # A slot 6 mm wide in the front: the tabs at its mouth would meet, and reach across the slot.
    shape = CrossSection.square((100.0, 80.0), True) - CrossSection.square((6.0, 60.0), True).translate(
        (0, 40)
    )
    tabs = corner_tabs(polygons(shape), TabOptions(overlap=0.0))
    assert len(tabs) == len(tabbed_corners(polygons(shape))) == 5
    for n, tab in enumerate(tabs):
        assert len(tab.kernel.decompose()) == 1
        assert all((tab.kernel ^ other.kernel).is_empty() for other in tabs[n + 1 :])


def test_no_more_tabs_than_asked_for():
    outline = section(block(), 10.0)
    assert len(corner_tabs(outline, TabOptions(most=2))) == 2
    wide = corner_tabs(outline, TabOptions(radius=12.0, overlap=0.0))
    assert wide[0].size[:2] == pytest.approx([24.0, 24.0], rel=2e-3)


def test_a_brim_is_a_thin_ring_and_tabs_go_on_from_it():
    """Round a block of 100 x 80 mm with a bore: sides, quarter discs at the corners, and the overlap."""
    bored = Solid.checked(block(100.0, 80.0, 40.0).kernel - Manifold.cylinder(90.0, 10.0, 10.0, 64, True))
    options, outline = TabOptions(brim=5.0, overlap=0.2), section(bored, 10.0)
    rim = brim(outline, options)
    area = 360.0 * 5.0 + np.pi * 25.0 + 360.0 * 0.2 - 4 * 0.04
    assert rim.volume == pytest.approx(0.4 * area, rel=1e-3)
    assert rim.bounds[:, 2] == pytest.approx([0.0, 0.4])
    tabs = corner_tabs(outline, options)
    assert len(tabs) == 4
    assert all((tab.kernel ^ rim.kernel).volume() < 1e-3 for tab in tabs)
    assert brim(outline, TabOptions()) is None
