"""A hold cut open through its bolt."""

import numpy as np
import pytest

import shapes
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.measure.sections import signed_area
from holdwright.hold.feature import Bore
from holdwright.hold.hold import Hold
from holdwright.joint.holding.section_profile import profile_of

AWAY, SEAT = 10.0, 25.0


def bored(axis=(0.0, 0.0, 1.0)):
    solid = cut_hole(shapes.block(120.0, 100.0, 40.0), Hole(20.0, AWAY, SEAT, 11.0, 31.0, 30.0)).solid
    bore = Bore(20.0, AWAY, axis, 11.0, 31.0, SEAT, SEAT, "M10 socket cap ISO 4762", None)
    return Hold().with_whole(solid, bore), bore


def test_block_with_hole_and_pocket():
    (outlines,) = profile_of(*bored()).parts.values()
    places = np.concatenate(outlines)
    assert places.min(axis=0) == pytest.approx((-50.0 - AWAY, 0.0), abs=1e-6)
    assert places.max(axis=0) == pytest.approx((50.0 - AWAY, 40.0), abs=1e-6)
    area = sum(signed_area(each) for each in outlines)
    # Holes are cut as polygons, wider than their circle by a little.
    assert area == pytest.approx(100.0 * 40.0 - 11.0 * SEAT - 31.0 * (40.0 - SEAT), rel=1e-3)


def test_the_cut_follows_a_tilted_axis():
    lean = np.radians(10.0)
    hold, bore = bored((np.sin(lean), 0.0, np.cos(lean)))
    (outlines,) = profile_of(hold, bore).parts.values()
    # Seen along the tilted plane, a block is as much deeper.
    assert np.concatenate(outlines)[:, 1].max() == pytest.approx(40.0 / np.cos(lean), abs=1e-6)
