"""Views on paper: on it, apart, and as large as they can be."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from holdwright.sheet.view_places import LEVEL, SCALES, ViewPlaces

lengths = st.floats(5.0, 900.0)
WIDE, HIGH = 182.0, 150.0


def boxes(places, size):
    """Each view with the room that its dimensions take below it and the figures to its left."""
    wide, high, deep = size * places.scale
    across = {"front": wide, "back": wide, "side": deep, "section": deep}
    return {
        name: (*getattr(places, name), getattr(places, name)[0] + each, getattr(places, name)[1] + high)
        for name, each in across.items()
    }


@given(lengths, lengths, lengths, st.sampled_from([0.0, 74.0, None]))
def test_views_lie_on_the_paper_and_apart(wide, high, deep, corner):
    size = np.array([wide, high, deep])
    places = ViewPlaces.of(size, WIDE, HIGH, corner)
    found = boxes(places, size)
    assert places.height <= HIGH + 1e-6
    for x, y, right, top in found.values():
        assert x >= 0.0
        assert right <= WIDE + 1e-6
        assert y >= LEVEL
        assert top <= places.height
    for one, other in combinations(found.values(), 2):
        assert (
            one[2] + LEVEL <= other[0] + 1e-6
            or other[2] + LEVEL <= one[0] + 1e-6
            or one[3] + LEVEL <= other[1] + 1e-6
            or other[3] + LEVEL <= one[1] + 1e-6
        )
    if places.corner is not None:
        assert places.corner.x >= found["back"][2]
        assert places.corner.x + places.corner.width == pytest.approx(WIDE)
        assert places.back[1] + places.back_high - places.corner.height >= 0.0
    assert (places.corner is None) or corner is not None


@given(lengths, lengths, lengths)
def test_the_next_scale_would_not_fit(wide, high, deep):
    size = np.array([wide, high, deep])
    places = ViewPlaces.of(size, WIDE, HIGH)
    assert places.scale in SCALES
    larger = [each for each in SCALES if each > places.scale]
    if larger:
        # At twice the scale either all views are too high together, or too wide in both ways to place them.
        twice = size * max(larger[-1], 2.0 * places.scale)
        assert 2 * twice[1] > HIGH - 60.0 or twice[0] + twice[2] > WIDE - 100.0


def test_a_wider_corner_takes_from_the_scale():
    size = np.array([150.0, 60.0, 20.0])
    free, kept = ViewPlaces.of(size, WIDE, HIGH), ViewPlaces.of(size, WIDE, HIGH, 100.0)
    assert kept.scale < free.scale
    assert kept.corner.width >= 100.0
