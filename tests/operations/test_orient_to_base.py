from types import MappingProxyType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import ParameterError
from holdwright.geometry.measure.envelope import smallest_circle
from holdwright.geometry.mesh.boolean import cut_by_plane
from holdwright.geometry.mesh.frame import move_points, placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import BackPlane, GroundBlock
from holdwright.hold.hold import WHOLE, Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.orient_to_base import OrientToBase, OrientToBaseParameters
from holdwright.parameters.kinds import PointPick
from shapes import block, boulder, sphere


def orient(solid: Solid, *features, sized: bool = True, **parameters) -> Outcome:
    hold = Hold(solids=MappingProxyType({WHOLE: solid}), features=features, sized=sized)
    run = Run(Catalogue())
    outcome = OrientToBase().apply(hold, OrientToBaseParameters(**parameters), run)
    assert "back" in run.stopwatch.seconds
    return outcome


def rotated(solid: Solid, rotation: np.ndarray) -> Solid:
    return solid.moved(placement(rotation, np.array([40.0, -7.0, 300.0])))


def flat_boulder(seed: int = 4) -> Solid:
    return cut_by_plane(boulder(seed=seed, roughness=0.5), np.array([0.0, 0.0, 1.0]), -20.0)


def area_on_the_wall(solid: Solid) -> float:
    corners = solid.vertices[solid.triangles]
    on = corners[(np.abs(corners[:, :, 2]) < 1e-6).all(axis=1)]
    return float(np.linalg.norm(np.cross(on[:, 1] - on[:, 0], on[:, 2] - on[:, 0]), axis=1).sum() / 2)


@settings(deadline=None, max_examples=12)
@given(st.integers(0, 10_000))
def test_a_back_is_turned_to_the_wall_from_anywhere(seed):
    rotation = Rotation.random(random_state=seed).as_matrix()
    solid = rotated(flat_boulder(), rotation)
    outcome = orient(solid)
    whole = outcome.hold.whole
    assert whole.volume == pytest.approx(solid.volume)
    assert whole.bounds[0, 2] == pytest.approx(0.0, abs=1e-9)
    assert smallest_circle(whole.vertices[:, :2]).centre == pytest.approx([0.0, 0.0], abs=1e-9)
    assert area_on_the_wall(whole) == pytest.approx(
        flat_boulder().kernel.slice(-20.0 + 1e-9).area(), rel=1e-6
    )
    assert outcome.result.startswith("found: flat area ")
    assert not outcome.findings
    assert move_points(outcome.hold.placement, solid.vertices) == pytest.approx(whole.vertices)


def test_a_hold_on_the_wall_already_stays_as_it_is():
    outcome = orient(block(100.0, 80.0, 40.0))
    assert (outcome.hold.placement[:3, :3] == np.eye(3)).all()
    assert outcome.result == "found: flat area 80 cm2"


def test_two_sides_alike_are_called_unsure_and_the_second_can_be_taken():
    first, second = orient(block()), orient(block(), rank=2)
    assert [finding.code for finding in first.findings] == ["back_unsure"]
    assert first.findings[0].measured == pytest.approx(100.0)
    assert first.hold.placement[2, 2] == pytest.approx(1.0)
    assert second.hold.placement[2, 2] == pytest.approx(-1.0)
    with pytest.raises(ParameterError, match="only 1 was found"):
        orient(flat_boulder(), rank=2)


def test_a_ball_says_that_nothing_is_flat():
    outcome = orient(sphere())
    assert outcome.result == "found: stable rest"
    assert {finding.code for finding in outcome.findings} <= {"back_unsure", "back_not_flat"}
    assert outcome.findings


def test_the_ground_block_tells_the_back_whatever_the_shape():
    ground = GroundBlock((0.0, -30.0, 0.0), (0.0, 1.0, 0.0), "slab")
    outcome = orient(block(100.0, 60.0, 40.0), ground)
    assert outcome.result == "found: ground block"
    assert outcome.hold.whole.size == pytest.approx([100.0, 40.0, 60.0])
    moved = outcome.hold.find(GroundBlock)[0]
    assert moved.normal == pytest.approx((0.0, 0.0, 1.0))
    turned = outcome.hold.placement[:3, :3]
    assert turned @ [0.0, 0.0, -1.0] == pytest.approx([0.0, 1.0, 0.0])  # the file's -z is up on the wall


def test_a_revised_sculpt_is_turned_the_same_way():
    ground = GroundBlock((0.0, -30.0, 0.0), (0.0, 1.0, 0.0), "slab")
    before, after = orient(boulder(seed=1), ground), orient(boulder(seed=9, segments=96), ground)
    assert after.hold.placement[:3, :3] == pytest.approx(before.hold.placement[:3, :3])


def test_no_area_is_claimed_before_the_size_is_known():
    assert orient(flat_boulder(), sized=False).result == "found: flat area"


def test_turning_is_about_the_wall_normal():
    plain, turned = orient(block(100, 80, 40)), orient(block(100, 80, 40), turn=90.0)
    assert turned.hold.whole.size == pytest.approx([80.0, 100.0, 40.0])
    quarter = turned.hold.placement[:3, :3] @ plain.hold.placement[:3, :3].T
    assert quarter @ [1.0, 0.0, 0.0] == pytest.approx([0.0, 1.0, 0.0])


def test_a_picked_face_becomes_the_back():
    outcome = orient(
        block(100, 80, 40), by="face", face=PointPick(point=(50.2, 3.0, 12.0), normal=(1.0, 0.0, 0.0))
    )
    assert outcome.hold.whole.size[2] == pytest.approx(100.0)
    assert outcome.result == "picked face, 32 cm2 flat"
    assert not outcome.findings


def test_a_face_picked_on_another_sculpt_says_so():
    outcome = orient(
        block(100, 80, 40), by="face", face=PointPick(point=(53.0, 3.0, 12.0), normal=(1.0, 0.0, 0.0))
    )
    assert [(finding.code, finding.severity) for finding in outcome.findings] == [("pick_moved", "warning")]


def corners(*points: tuple[float, float, float]) -> tuple[PointPick, ...]:
    return tuple(PointPick(point=each, normal=(0.0, 0.0, 0.0)) for each in points)


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0)])
def test_three_points_in_any_order_tell_the_back(order):
    points = corners((-50, -30, 5), (-50, 30, 8), (-50, 0, 35))
    outcome = orient(block(100, 80, 40), by="points", points=tuple(points[index] for index in order))
    turned = outcome.hold.placement[:3, :3]
    assert turned @ [-1.0, 0.0, 0.0] == pytest.approx([0.0, 0.0, -1.0])
    flipped = orient(block(100, 80, 40), by="points", points=points, flip=True)
    assert flipped.hold.placement[:3, :3] @ [1.0, 0.0, 0.0] == pytest.approx([0.0, 0.0, -1.0])


def test_a_plane_tells_the_back():
    normal = (0.0, -0.6, -0.8)
    outcome = orient(boulder(), by="plane", plane=PointPick(point=(0, 0, 0), normal=normal))
    assert outcome.hold.placement[:3, :3] @ normal == pytest.approx([0.0, 0.0, -1.0])


@pytest.mark.parametrize("flip", [False, True])
def test_where_the_plane_lies_goes_with_the_hold(flip):
    """A block of 40 mm standing on z = 0: 12 mm up from its back, or 28 mm from its front."""
    pick = PointPick(point=(3, 4, 12), normal=(0, 0, -5))
    outcome = orient(block(100, 80, 40), by="plane", plane=pick, flip=flip)
    (plane,) = outcome.hold.find(BackPlane)
    assert plane.point[2] == pytest.approx(28.0 if flip else 12.0)
    assert plane.normal == pytest.approx((0.0, 0.0, -1.0))


@pytest.mark.parametrize(
    ("parameters", "message"),
    [
        ({"by": "face"}, "none is picked"),
        ({"by": "points", "points": corners((0, 0, 0))}, "but 1 are picked"),
        ({"by": "points", "points": corners((-50, 0, 5), (-50, 0, 15), (-50, 0, 35))}, "nearly on one line"),
        ({"by": "plane"}, "none is given"),
        ({"by": "plane", "plane": PointPick(point=(0, 0, 0), normal=(0, 0, 0))}, "normal is zero"),
    ],
)
def test_what_is_missing_is_asked_for_in_one_sentence(parameters, message):
    with pytest.raises(ParameterError, match=message):
        orient(block(100, 80, 40), **parameters)
