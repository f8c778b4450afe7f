"""The pocket's outline, beside GEOS's buffer through shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.measure.sections import inside, section
from holdwright.geometry.relief.pocket import (
    CORNER,
    BackHoles,
    ReliefRequest,
    cut_pocket,
    less,
    pocket_outlines,
)
from shapes import boulder

FINE = {"quad_segs": 64}


def polygon(outlines) -> shapely.Geometry:
    """What closed outlines enclose: those within an odd number of others are holes."""
    return shapely.build_area(shapely.MultiLineString([np.vstack([each, each[:1]]) for each in outlines]))


def back_of(seed: int) -> tuple:
    solid = boulder(55.0, 0.35, seed)
    solid = type(solid).checked(solid.kernel.trim_by_plane((0, 0, 1), -15.0).translate((0, 0, 15.0)))
    return solid, section(solid, 0.02)


@settings(max_examples=12)
@given(st.integers(0, 200), st.sampled_from([4.0, 12.0, 25.0]), st.floats(0.0, 15.0))
def test_it_is_the_back_drawn_in_and_opened(seed, land, bore_land):
    solid, back = back_of(seed)
    bore = Hole(2.0, -3.0, 20.0, 11.0, 31.0, 30.0)
    expected = polygon(back).buffer(-land, **FINE)
    if bore_land > 0.0:
        expected = expected.difference(shapely.Point(2.0, -3.0).buffer(5.5 + bore_land, **FINE))
    expected = expected.buffer(-CORNER, **FINE).buffer(CORNER, **FINE)
    drawn = pocket_outlines(back, BackHoles([bore]), ReliefRequest(land=land, bore_land=bore_land))
    if expected.is_empty or not drawn:
        assert expected.area < 30.0
        return
    steps = [np.hypot(*(np.roll(each, -1, axis=0) - each).T).min() for each in drawn]
    assert min(steps) > 1e-3, "no points that a file would not tell apart"
    pocket = polygon(drawn)
    assert pocket.symmetric_difference(expected).area < 2e-3 * expected.area + 0.05
    assert pocket.distance(polygon(back).boundary) > land - 0.02
    # Where it is cut, it is what the section just above the back lacks.
    cut = polygon(section(cut_pocket(solid, drawn, 1.0), 0.02))
    assert polygon(back).difference(cut).symmetric_difference(pocket).area < 1e-3
    assert polygon(less(back, drawn)).symmetric_difference(cut).area < 1e-3


def test_ribs_are_left_between_pockets_as_wide_as_asked():
    back = [np.array([[-60.0, -40.0], [60.0, -40.0], [60.0, 40.0], [-60.0, 40.0]])]
    request = ReliefRequest(land=10.0, rib_spacing=10.0, rib_width=2.0)
    drawn = pocket_outlines(back, BackHoles([Hole(0.0, 3.0, 20.0, 11.0, 31.0, 30.0)]), request)
    along = shapely.LineString([(30.0, -50.0), (30.0, 50.0)])
    runs = sorted(each.bounds[1::2] for each in shapely.get_parts(polygon(drawn).intersection(along)))
    ribs = [(-14.0, -16.0), (-2.0, -4.0), (8.0, 10.0), (20.0, 22.0)]
    ends = np.array([low for low, _ in runs[1:]] + [high for _, high in runs[:-1]])
    assert np.sort(ends) == pytest.approx(np.sort(np.array(ribs).reshape(-1)), abs=0.01)


def test_the_seam_of_a_core_is_no_edge_of_the_back():
    back = [np.array([[-50.0, -50.0], [50.0, -50.0], [50.0, 50.0], [-50.0, 50.0]])]
    seam = np.array([[-20.0, 0.0], [0.0, 20.0], [20.0, 0.0], [0.0, 20.001]])
    plain, seamed = (pocket_outlines(each, BackHoles(), ReliefRequest()) for each in (back, [*back, seam]))
    assert polygon(seamed).symmetric_difference(polygon(plain)).area < 1.0


def test_a_screw_at_the_edge_keeps_its_land_and_the_rest_is_relieved():
    back = [np.array([[-50.0, -50.0], [50.0, -50.0], [50.0, 50.0], [-50.0, 50.0]])]
    screw = Hole(35.0, 0.0, 8.0, 5.5, 10.0, 10.0, cone_angle=90.0)
    drawn = pocket_outlines(back, BackHoles(screws=[screw]), ReliefRequest())
    boss = 35.0 + 8.95 * np.exp(1j * np.linspace(0.0, 2.0 * np.pi, 60))
    assert not inside(np.column_stack([boss.real, boss.imag]), drawn)[boss.real < 37.9].any()
    assert inside(np.array([[25.5, 0.0], [0.0, 0.0], [37.0, 20.0]]), drawn).all()
