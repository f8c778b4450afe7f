from types import MappingProxyType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.mesh.boolean import union
from holdwright.geometry.mesh.closedness import closedness
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.single_precision import printed_mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import BackPlane, GroundBlock, Rim
from holdwright.hold.hold import WHOLE, Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.trim_base import TrimBase
from holdwright.operations.trim_parameters import TrimBaseParameters
from operations.outcomes import codes
from shapes import block, boulder, frustum, ring, sphere

POLYGON = 64 / np.pi * np.sin(2 * np.pi / 128)
"""Area of a regular polygon of 128 sides over that of the circle round it."""


def hundredths(most: float) -> st.SearchStrategy[float]:
    return st.integers(0, round(most * 100)).map(lambda count: count / 100)


def trim(start: Solid | Hold, *features, **parameters) -> Outcome:
    hold = start if isinstance(start, Hold) else holding(start, *features)
    run = Run(Catalogue())
    outcome = TrimBase().apply(hold, TrimBaseParameters(**parameters), run)
    assert "trim height" in run.stopwatch.seconds
    return outcome


def holding(solid: Solid, *features) -> Hold:
    return Hold(solids=MappingProxyType({WHOLE: solid}), features=features, sized=True)


def at(solid: Solid, x: float, y: float, z: float) -> Solid:
    return solid.moved(placement(shift=np.array([x, y, z])))


def rim(outcome: Outcome) -> Rim:
    return outcome.hold.find(Rim)[0]


def test_a_cone_frustum_gets_its_rim_to_the_last_digit():
    """Closed forms: pi h / 3 (R1^2 + R1 R2 + R2^2) for the frustum, area times height for the rim."""
    solid = frustum(60.0, 35.0, 45.0)
    outcome = trim(solid, by="height", height=9.0, rim=4.0)
    radius = 60.0 - 25.0 * 9 / 45
    above = np.pi * 36.0 / 3 * (radius**2 + radius * 35.0 + 35.0**2)
    assert outcome.hold.whole.volume == pytest.approx(POLYGON * (above + np.pi * radius**2 * 4.0), rel=1e-9)
    assert rim(outcome).area == pytest.approx(POLYGON * np.pi * radius**2, rel=1e-9)
    assert outcome.hold.whole.bounds[:, 2] == pytest.approx([0.0, 40.0])
    assert outcome.result == "rim 4 mm, back 95 cm2, cut 9.0 mm above the lowest point"


def test_a_sphere_cut_at_minus_20_has_its_closed_form():
    """Cap of height 70 of a sphere R 50: 410501.440069 mm3 over a base of 6597.344573 mm2."""
    outcome = trim(sphere(50.0, 512), by="height", height=30.0, rim=0.0)
    assert outcome.hold.whole.volume == pytest.approx(410501.440069, rel=1e-4)
    assert rim(outcome).area == pytest.approx(6597.344573, rel=1e-4)


@settings(deadline=None, max_examples=10)
@given(st.integers(0, 40), hundredths(8.0), hundredths(2.0), st.sampled_from([0.0, 0.1, 0.5]))
def test_the_back_is_flat_on_zero_and_the_rim_upright(seed, height, allowance, chamfer_share):
    chamfer = height * chamfer_share
    outcome = trim(
        boulder(seed=seed, segments=40, roughness=0.6), rim=height, chamfer=chamfer, allowance=allowance
    )
    whole = outcome.hold.whole
    assert whole.bounds[0, 2] == -allowance
    z = whole.vertices[:, 2]
    assert (z[z < -allowance + 1e-6] == -allowance).all()
    assert rim(outcome).height == height
    areas = [float(whole.kernel.slice(height * share + 1e-7).area()) for share in (0.55, 0.9)]
    assert areas[0] == pytest.approx(areas[1], rel=1e-5)
    assert whole.genus == 0


@pytest.mark.parametrize(
    "solid",
    [
        block(),
        sphere(),
        frustum(60, 35, 45),
        frustum(35, 60, 45),
        ring(),
        boulder(roughness=0.6),
        boulder(seed=7),
    ],
    ids=["block", "sphere", "frustum", "flared", "ring", "boulder", "other boulder"],
)
@pytest.mark.parametrize("chamfer", [0.0, 1.0])
def test_trimming_twice_changes_nothing(solid, chamfer):
    once = trim(solid, chamfer=chamfer)
    twice = trim(once.hold, chamfer=chamfer)
    assert twice.hold.whole.volume == pytest.approx(once.hold.whole.volume, rel=1e-7)
    assert twice.hold.whole.bounds == pytest.approx(once.hold.whole.bounds, abs=1e-6)
    assert twice.hold.whole.genus == once.hold.whole.genus
    assert rim(twice).area == pytest.approx(rim(once).area, rel=1e-5)


def test_a_block_loses_nothing():
    outcome = trim(block())
    assert outcome.hold.whole.volume == pytest.approx(100 * 80 * 40)
    assert codes(outcome) == []


def test_stock_for_sanding_lies_below_zero_with_the_outline_of_the_back():
    plain = trim(block(), allowance=0.4)
    assert plain.hold.whole.volume == pytest.approx(100 * 80 * 40.4)
    chamfered = trim(block(), chamfer=2.0, allowance=0.4)
    removed = 360 * 2.0 - 4 * 8 / 3
    assert chamfered.hold.whole.volume == pytest.approx(320_000 - removed + 96 * 76 * 0.4, rel=1e-6)
    assert rim(chamfered).area == pytest.approx(96 * 76, rel=1e-6)
    assert (rim(chamfered).chamfer, rim(chamfered).allowance) == (2.0, 0.4)


def test_the_ground_blocks_face_is_the_lowest_the_back_may_be():
    sunk = at(frustum(50.0, 40.0, 60.0), 0.0, 0.0, -8.0)
    ground = GroundBlock((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), "slab")
    outcome = trim(sunk, ground, rim=3.0)
    assert outcome.hold.whole.bounds[:, 2] == pytest.approx([0.0, 52.0])
    assert outcome.hold.find(GroundBlock)[0].point == pytest.approx((0.0, 0.0, 0.0))


def table(*legs: tuple[float, float, float]) -> Solid:
    """A plate 100 x 80 x 10 on square legs 20 high: (x, y, side) each."""
    feet = [at(block(side, side, 20.5), x, y, 0.0) for x, y, side in legs]
    return union([at(block(100, 80, 10), 0, 0, 20.0), *feet])


def test_a_back_in_parts_is_reported_with_its_areas():
    outcome = trim(table((-30, 0, 30), (30, 10, 15)), by="height", height=5.0)
    assert codes(outcome) == ["back_in_parts"]
    assert "9, 2.25 cm2" in outcome.findings[0].message
    assert (rim(outcome).islands, rim(outcome).holes) == (2, 0)
    assert rim(outcome).area == pytest.approx(1125.0)


def test_no_needle_is_drawn_from_a_speck():
    outcome = trim(table((-30, 0, 30), (30, 10, 0.5)), by="height", height=5.0)
    assert codes(outcome) == ["specks_left"]
    assert rim(outcome).area == pytest.approx(900.0)
    expected = 100 * 80 * 10 + 30 * 30 * (15 + 3) + 0.5 * 0.5 * 15
    assert outcome.hold.whole.volume == pytest.approx(expected)


def test_holes_are_reported_and_kept():
    outcome = trim(ring(40.0, 20.0, 20.0))
    assert codes(outcome) == ["back_has_holes"]
    assert (rim(outcome).islands, rim(outcome).holes) == (1, 1)
    assert outcome.hold.whole.genus == 1


def test_a_hold_the_cut_parts_keeps_its_largest_piece():
    arch = union([block(100, 30, 10), at(block(30, 30, 40), -35, 0, 0), at(block(20, 30, 25), 40, 0, 0)])
    outcome = trim(arch, by="height", height=15.0, rim=2.0)
    assert "piece_dropped" in codes(outcome)
    dropped = next(finding for finding in outcome.findings if finding.code == "piece_dropped")
    assert dropped.measured == pytest.approx(20 * 30 * 10)
    assert outcome.hold.whole.volume == pytest.approx(30 * 30 * (25 + 2))


def test_a_narrow_foot_is_kept_with_a_warning():
    mushroom = union([frustum(15, 15, 60, 64), at(frustum(50, 50, 20, 64), 0, 0, 50.0)])
    outcome = trim(mushroom)
    assert codes(outcome) == ["back_small"]
    assert outcome.findings[0].measured == pytest.approx(9.0, abs=0.1)
    assert codes(trim(mushroom, by="one outline")) == ["back_incomplete", "back_small"]
    assert outcome.hold.whole.volume == pytest.approx(mushroom.volume, rel=1e-3)


def test_a_trim_that_takes_much_is_reported():
    assert "trim_takes_much" in codes(trim(block(), by="height", height=20.0, rim=1.0))


@pytest.mark.parametrize(
    ("parameters", "message"),
    [
        ({"by": "height", "height": 40.0}, "only 40 mm deep"),
        ({"chamfer": 3.0, "rim": 3.0}, "needs a higher rim"),
        ({"by": "height", "height": 39.9999999, "rim": 0.0}, "section is only"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(parameters, message):
    with pytest.raises((ParameterError, GeometryError), match=message):
        trim(frustum(30.0, 0.0, 40.0), **parameters)


def test_a_back_of_next_to_nothing_is_refused():
    with pytest.raises(ParameterError, match="section is only"):
        trim(frustum(30.0, 0.0, 40.0), by="height", height=39.9)


def test_a_chamfer_too_wide_for_the_back_is_refused():
    with pytest.raises(GeometryError, match="leaves nothing of an outline"):
        trim(block(8.0, 80.0, 40.0), rim=6.0, chamfer=4.5)


def test_placement_follows_the_cut():
    outcome = trim(sphere(50.0), by="height", height=30.0, rim=3.0)
    assert outcome.hold.placement[2, 3] == pytest.approx(3.0 + 20.0)


def test_the_finished_back_lies_on_the_plane_it_was_told_by():
    """Frustum of radii 60 and 35 over 45 mm, cut 12 mm up, with the rim within what is left."""
    solid, plane = frustum(60.0, 35.0, 45.0), BackPlane((0.0, 0.0, 12.0), (0.0, 0.0, -1.0))
    outcome = trim(solid, plane, rim=3.0)
    assert outcome.hold.whole.bounds[:, 2] == pytest.approx([0.0, 33.0])
    radius = 60.0 - 25.0 * 15 / 45
    assert rim(outcome).area == pytest.approx(POLYGON * np.pi * radius**2, rel=1e-6)
    below = trim(solid, BackPlane((0.0, 0.0, -12.0), (0.0, 0.0, -1.0)), rim=3.0)
    assert below.hold.whole.bounds[1, 2] == pytest.approx(trim(solid, rim=3.0).hold.whole.bounds[1, 2])
    with pytest.raises(ParameterError, match="beyond the front"):
        trim(solid, BackPlane((0.0, 0.0, 45.0), (0.0, 0.0, -1.0)))


@pytest.mark.parametrize("depth", [0.05, 1.0, 2.5, 3.5])
def test_a_plate_as_thin_as_its_rim_is_still_closed_and_called_too_thin(depth):
    solid = at(block(100.0, 80.0, depth), 0.0, 0.0, depth / 2)
    outcome = trim(solid, rim=3.0)
    whole = outcome.hold.whole
    kept = 0.25 * depth
    assert whole.volume == pytest.approx(100.0 * 80.0 * (3.0 + kept))
    assert whole.bounds[0, 2] == 0.0
    (finding,) = [each for each in outcome.findings if each.code == "thin_for_rim"]
    assert finding.severity == "error"
    assert finding.measured == pytest.approx(0.75 * depth)
    assert finding.limit == 3.0


def test_a_plate_with_legs_up_is_not_cut_down_to_a_leg():
    plate = block(80.0, 80.0, 1.5)
    legs = [at(block(2.0, 2.0, 30.0), x, y, 0.0) for x in (-30.0, 30.0) for y in (-30.0, 30.0)]
    outcome = trim(union([plate, *legs]), rim=3.0)
    assert rim(outcome).area == pytest.approx(6400.0)
    assert outcome.hold.whole.size[2] == pytest.approx(30.0)
    assert "rim_joined" in codes(outcome)
    assert "thin_for_rim" in codes(trim(union([plate, *legs]), by="one outline", rim=3.0))


def test_a_needle_of_next_to_nothing_gets_a_back():
    solid = at(block(100.0, 0.004, 0.004), 0.0, 0.0, 0.002)
    outcome = trim(solid, rim=3.0)
    assert rim(outcome).area == pytest.approx(0.4)
    assert "thin_for_rim" in codes(outcome)


def test_an_outline_that_touches_itself_is_joined_before_it_is_drawn_out():
    """Pyramids under a plate whose corners nearly meet where they are cut; a file rounds the gap away."""

    def pyramid(x: float) -> Solid:
        turned = Manifold.cylinder(10.0, 23.0 * 2**0.5, 13.0 * 2**0.5, 4)
        return Solid.checked(turned.translate((50.0 + x, 0.0, 0.0)))

    half = 20.0 * 2**0.5 + 1e-7  # of the diagonal at 3 mm
    hold = union([pyramid(-half), pyramid(half), at(block(120, 60, 10), 50, 0, 9.0)])
    outcome = trim(hold, by="height", height=3.0, rim=3.0)
    (touch,) = [each for each in outcome.findings if each.code == "touch_joined"]
    assert touch.where == pytest.approx((50.0, 0.0, 1.5), abs=1e-3)
    whole = outcome.hold.whole
    written = printed_mesh(whole.vertices, whole.triangles)
    found = closedness(written.vertices, written.triangles)
    assert (found.closed, found.contact_edges) == (True, 0)
    assert whole.bounds[0, 2] == 0.0
    assert "back_in_parts" in {each.code for each in outcome.findings}
