"""Where the trim puts the finished back when the sculpt stood on a ground block, and when it did not."""

from types import MappingProxyType

import numpy as np
import pytest

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import ParameterError
from holdwright.geometry.mesh.boolean import union
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Envelope, FoundBack, GroundBlock, Rim
from holdwright.hold.hold import WHOLE, Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.scale_to_envelope import ScaleToEnvelope, ScaleToEnvelopeParameters
from holdwright.operations.trim_base import TrimBase
from holdwright.operations.trim_parameters import TRIM_BASE, TrimBaseParameters
from operations.outcomes import codes
from shapes import block, boulder, frustum, sphere


def at(solid: Solid, x: float, y: float, z: float) -> Solid:
    return solid.moved(placement(shift=np.array([x, y, z])))


def face(z: float, normal: tuple[float, float, float] = (0.0, 0.0, 1.0)) -> GroundBlock:
    return GroundBlock((0.0, 0.0, z), normal, "slab")


def holding(solid: Solid, *features) -> Hold:
    return Hold(solids=MappingProxyType({WHOLE: solid}), features=features, sized=True)


def trim(hold: Hold, **parameters) -> Outcome:
    return TrimBase().apply(hold, TrimBaseParameters(**parameters), Run(Catalogue()))


def scale_and_trim(hold: Hold, trim_parameters: dict | None = None, **parameters) -> tuple[Outcome, Outcome]:
    asked = TrimBaseParameters(**(trim_parameters or {}))
    run = Run(Catalogue(), ahead={TRIM_BASE: asked})
    scaled = ScaleToEnvelope().apply(hold, ScaleToEnvelopeParameters(**parameters), run)
    return scaled, TrimBase().apply(scaled.hold, asked, Run(Catalogue()))


def back_of(before: Hold, after: Hold) -> float:
    """Where the finished back lies in the hold before the trim, mm."""
    return -float((after.placement @ np.linalg.inv(before.placement) @ [0.0, 0.0, 0.0, 1.0])[2])


def test_the_back_lies_on_the_block_face_though_the_outline_there_is_small():
    """A ball of 50 mm of which a cap of 10 mm is behind the face: the section there covers 36 % of it."""
    hold = holding(sphere(50.0, 128), face(-40.0))
    outcome = trim(hold, rim=0.0)
    assert back_of(hold, outcome.hold) == pytest.approx(-40.0, abs=1e-9)
    assert outcome.hold.whole.volume == pytest.approx(np.pi * 90**2 * (150 - 90) / 3, rel=3e-3)
    assert "on the ground block's face" in outcome.result
    assert codes(outcome) == []


def test_feet_in_front_of_the_face_each_get_their_rim_and_small_ones_are_reported():
    feet = [at(block(side, side, 21), x, 0, 0) for x, side in ((-40, 30), (40, 20), (0, 5))]
    hold = holding(union([at(block(120, 60, 20), 0, 0, 20), *feet]), face(5.0))
    outcome = trim(hold, rim=3.0)
    rim = outcome.hold.find(Rim)[0]
    assert (rim.islands, rim.area) == (2, pytest.approx(900 + 400))
    assert codes(outcome) == ["back_in_parts", "specks_left", "back_small"]
    assert outcome.hold.whole.volume == pytest.approx(120 * 60 * 20 + (900 + 400) * 15 + 25 * 12)


def test_a_small_body_that_falls_off_in_front_is_reported_with_its_volume_and_place():
    link = at(block(60, 10, 5), 40, 0, -10)
    hold = holding(
        union([at(block(60, 60, 50), 0, 0, -10), link, at(block(10, 10, 14), 65, 0, -10)]), face(0.0)
    )
    outcome = trim(hold, rim=2.0)
    (dropped,) = [finding for finding in outcome.findings if finding.code == "piece_dropped"]
    assert dropped.measured == pytest.approx(100 * 2.0)
    assert dropped.where[0] == pytest.approx(65.0)
    assert outcome.hold.whole.volume == pytest.approx(60 * 60 * 40)


def test_bodies_joined_only_within_the_rim_stay_joined():
    towers = [at(block(30, 60, 40), x, 0, 0) for x in (-30, 30)]
    solid = union([block(100, 80, 2), *towers])
    hold = holding(solid, face(0.0))
    outcome = trim(hold, rim=3.0)
    assert outcome.hold.whole.volume == pytest.approx(solid.volume)
    assert back_of(hold, outcome.hold) == pytest.approx(0.0, abs=1e-9)
    assert "rim_joined" in codes(outcome)


def test_where_bodies_of_weight_stand_apart_in_front_the_cost_is_told_and_the_other_choice_offered():
    """Two towers joined behind the face by a plate: one is lost wherever the back is put in front of it."""
    towers = [at(block(side, 60, 60), x, 0, -10) for x, side in ((-40, 40), (40, 36))]
    hold = holding(union([at(block(120, 60, 8), 0, 0, -14), *towers]), face(0.0))
    outcome = trim(hold)
    assert "piece_dropped" in codes(outcome)
    assert [finding.severity for finding in outcome.findings if finding.code == "trim_takes_much"] == [
        "error"
    ]


@pytest.mark.parametrize(
    ("block_face", "variant"),
    [
        (face(-9.0), "behind the hold and does not touch it"),
        (face(60.0), "beyond the front"),
        (face(0.0, (0.0, float(np.sin(0.7)), float(np.cos(0.7)))), "tilted 40 degrees"),
    ],
    ids=["behind", "beyond", "tilted"],
)
def test_a_face_that_cannot_be_the_wall_is_said_and_the_back_looked_for(block_face, variant):
    plain, outcome = trim(holding(block())), trim(holding(block(), block_face))
    assert outcome.hold.whole.volume == pytest.approx(plain.hold.whole.volume)
    (finding,) = [each for each in outcome.findings if each.code == "ground_face_unused"]
    assert variant in finding.message


def test_a_back_looked_for_is_explained_and_what_it_costs_is_no_more_than_a_fifth():
    outcome = trim(holding(boulder(roughness=0.5)))
    (chosen,) = [finding for finding in outcome.findings if finding.code == "back_chosen"]
    assert "above the lowest point, where it touches the wall with" in chosen.message
    assert "trim_takes_much" not in codes(outcome)
    heights = outcome.hold.find(Rim)[0].candidates
    assert len(heights) == 3
    assert chosen.measured == pytest.approx(heights[0] - 3.0)


@pytest.mark.parametrize(
    ("rule", "measure"),
    [
        ({"rule": "circle", "diameter": 120.0}, lambda solid: 2 * np.hypot(*solid.vertices[:, :2].T).max()),
        ({"rule": "box", "box_x": 90.0, "box_y": 200.0}, lambda solid: solid.size[0]),
        ({"rule": "height", "length": 75.0}, lambda solid: solid.size[1]),
        ({"rule": "depth", "length": 40.0}, lambda solid: solid.bounds[1, 2]),
    ],
    ids=["circle", "box", "height", "depth"],
)
@pytest.mark.parametrize(
    "by", [{}, {"by": "height", "height": 30.0, "allowance": 1.0}], ids=["found", "height"]
)
def test_the_finished_hold_meets_the_envelope_not_what_lies_behind_the_wall(rule, measure, by):
    """A skirt behind the wall is wider than all in front of it."""
    solid = union([boulder(segments=48), at(frustum(90.0, 60.0, 12.0), 0, 0, -60.0)])
    hold = holding(solid, face(-48.0))
    scaled, trimmed = scale_and_trim(hold, by, **rule)
    requested = next(value for name, value in rule.items() if name != "rule")
    assert measure(trimmed.hold.whole) == pytest.approx(requested, abs=1e-6)
    assert scaled.hold.find(Envelope)[0].finished
    assert "size_departs" not in codes(trimmed)
    assert not trimmed.hold.find(FoundBack)


def test_without_a_trim_ahead_or_for_the_whole_sculpt_all_of_it_is_measured():
    hold = holding(sphere(50.0, 64), face(20.0))
    alone = ScaleToEnvelope().apply(hold, ScaleToEnvelopeParameters(), Run(Catalogue()))
    whole, _ = scale_and_trim(hold, measured="whole sculpt")
    for outcome in (alone, whole):
        assert 2 * np.hypot(*outcome.hold.whole.vertices[:, :2].T).max() == pytest.approx(120.0)
    finished, _ = scale_and_trim(hold)
    assert finished.hold.whole.size[0] > 125.0


def test_what_a_later_change_takes_off_the_size_is_reported():
    hold = holding(sphere(50.0, 64), face(0.0))
    scaled, _ = scale_and_trim(hold)
    after = TrimBase().apply(scaled.hold, TrimBaseParameters(by="height", height=110.0), Run(Catalogue()))
    (finding,) = [each for each in after.findings if each.code == "size_departs"]
    assert finding.measured < -10.0


def test_a_trim_that_leaves_nothing_is_refused_by_the_trim_and_not_by_the_scale():
    asked = TrimBaseParameters(by="height", height=900.0)
    scaled = ScaleToEnvelope().apply(
        holding(block()), ScaleToEnvelopeParameters(), Run(Catalogue(), ahead={TRIM_BASE: asked})
    )
    assert scaled.hold.find(Envelope)[0].circle == pytest.approx(120.0)
    with pytest.raises(ParameterError, match="cut lower"):
        TrimBase().apply(scaled.hold, asked, Run(Catalogue()))
