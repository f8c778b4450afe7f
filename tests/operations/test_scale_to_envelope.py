from types import MappingProxyType

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import ParameterError
from holdwright.geometry.mesh.frame import placement, scaling
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Envelope, GroundBlock
from holdwright.hold.hold import WHOLE, Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.envelope_size import size_name
from holdwright.operations.scale_to_envelope import ScaleToEnvelope, ScaleToEnvelopeParameters
from shapes import block, boulder, sphere


def scale(solid: Solid, *features, sized: bool = True, **parameters) -> Outcome:
    hold = Hold(solids=MappingProxyType({WHOLE: solid}), features=features, sized=sized)
    return ScaleToEnvelope().apply(hold, ScaleToEnvelopeParameters(**parameters), Run(Catalogue()))


def envelope(outcome: Outcome) -> Envelope:
    return outcome.hold.find(Envelope)[0]


@settings(deadline=None, max_examples=10)
@given(st.floats(20.0, 600.0), st.integers(0, 20), st.sampled_from([0.0, 0.02, 0.2]))
def test_the_circle_round_the_hold_is_the_one_asked_for(diameter, seed, detail):
    """Beside GEOS's minimum bounding circle, through shapely."""
    outcome = scale(boulder(seed=seed, segments=48), diameter=diameter, detail=detail, sized=False)
    whole = outcome.hold.whole
    known = 2 * shapely.minimum_bounding_radius(shapely.MultiPoint(whole.vertices[:, :2]))
    assert known == pytest.approx(diameter, rel=1e-9)
    assert envelope(outcome).circle == pytest.approx(diameter, rel=1e-9)
    assert np.hypot(*whole.vertices[:, :2].T).max() == pytest.approx(diameter / 2, rel=1e-9)
    assert whole.bounds[0, 2] == pytest.approx(0.0, abs=1e-9)
    assert outcome.hold.sized


def test_detail_dropped_stays_within_what_was_asked():
    fine = Solid.checked(sphere(50.0, 256).kernel.refine(2))
    kept, dropped = scale(fine, detail=0.0, diameter=100.0), scale(fine, detail=0.05, diameter=100.0)
    assert dropped.hold.whole.triangle_count < kept.hold.whole.triangle_count / 2
    distance = np.linalg.norm(dropped.hold.whole.vertices - [0.0, 0.0, 50.0], axis=1)
    assert np.abs(distance - 50.0).max() < 0.06


@pytest.mark.parametrize(
    ("parameters", "factor"),
    [
        ({"rule": "width", "length": 200.0}, 2.0),
        ({"rule": "height", "length": 40.0}, 0.5),
        ({"rule": "depth", "length": 60.0}, 1.5),
        ({"rule": "factor", "factor": 0.75}, 0.75),
        ({"rule": "box", "box_x": 200.0, "box_y": 100.0, "box_z": 0.0}, 1.25),
        ({"rule": "box", "box_x": 0.0, "box_y": 0.0, "box_z": 30.0}, 0.75),
        ({"rule": "circle", "diameter": 2 * np.hypot(100.0, 80.0)}, 2.0),
    ],
)
def test_each_rule_scales_a_block_as_it_says(parameters, factor):
    outcome = scale(block(100.0, 80.0, 40.0), **parameters)
    assert outcome.hold.whole.size == pytest.approx(np.array([100.0, 80.0, 40.0]) * factor)
    assert envelope(outcome).factor == pytest.approx(factor)
    assert envelope(outcome).size == pytest.approx(tuple(np.array([100.0, 80.0, 40.0]) * factor))


def test_features_and_placement_follow():
    ground = GroundBlock((10.0, 0.0, 0.0), (0.0, 0.0, 1.0), "slab")
    outcome = scale(block(), ground, rule="factor", factor=2.0)
    assert outcome.hold.find(GroundBlock)[0].point == pytest.approx((20.0, 0.0, 0.0))
    assert outcome.hold.placement == pytest.approx(scaling(2.0))


def test_an_off_centre_hold_is_centred():
    outcome = scale(block().moved(placement(shift=np.array([300.0, -20.0, 7.0]))))
    assert outcome.hold.whole.bounds.mean(axis=0)[:2] == pytest.approx([0.0, 0.0])
    assert outcome.hold.whole.bounds[0, 2] == pytest.approx(0.0)


def test_a_factor_means_nothing_before_the_unit_is_known():
    with pytest.raises(ParameterError, match="unit is unknown"):
        scale(block(), rule="factor", factor=2.0, sized=False)


@pytest.mark.parametrize(
    ("parameters", "words"),
    [
        ({"diameter": 0.01}, "circle of 0.01 mm .* no less than 1 mm; ask for more"),
        ({"rule": "depth", "length": 5000.0}, "depth of 5000 mm .* 12500 mm .* no more than 10000 mm"),
        ({"rule": "factor", "factor": 1e4}, "factor of 10000 was"),
    ],
)
def test_sizes_that_are_no_holds_are_refused(parameters, words):
    with pytest.raises(ParameterError, match=words):
        scale(block(100.0, 80.0, 40.0), **parameters)


def test_a_box_free_on_all_sides_is_refused():
    with pytest.raises(ParameterError, match="at least one"):
        scale(block(), rule="box", box_x=0.0, box_y=0.0, box_z=0.0)


def test_a_unit_mistaken_is_noticed_only_where_the_unit_was_given():
    tiny = block().moved(scaling(1 / 25.4))
    assert [finding.code for finding in scale(tiny).findings] == ["factor_extreme"]
    assert scale(tiny, sized=False).findings == ()


@pytest.mark.parametrize(
    ("diameter", "codes"), [(20.0, ["size_unusual"]), (120.0, []), (2000.0, ["size_unusual"])]
)
def test_a_size_no_hold_has_is_noticed(diameter, codes):
    assert [finding.code for finding in scale(block(), diameter=diameter, sized=False).findings] == codes


def test_shrinkage_is_kept_apart_from_true_size():
    outcome = scale(block(), shrinkage_percent=0.4)
    assert envelope(outcome).shrinkage_percent == 0.4
    assert envelope(outcome).circle == pytest.approx(120.0)


def test_the_result_names_size_and_circle():
    assert (
        scale(block(), rule="factor", factor=1.0).result == "100.0 x 80.0 x 40.0 mm, circle 128.1 mm, size M"
    )


@pytest.mark.parametrize(
    ("longest", "name"),
    [(30, "XS"), (60, "S"), (89.9, "S"), (100, "M"), (150, "L"), (200, "XL"), (300, "XXL"), (450, "volume")],
)
def test_sizes_are_named_by_the_longest_extent(longest, name):
    """Limits are common practice, no source."""
    assert size_name(longest) == name
