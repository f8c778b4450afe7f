"""Blocks the sculpt stood on: left out, kept, named."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from holdwright.errors import ParameterError
from holdwright.geometry.mesh.frame import placement
from holdwright.hold.feature import GroundBlock
from holdwright.operations.base import Outcome
from operations.outcomes import codes
from sculpts import piece
from shapes import block, boulder


def test_a_ground_block_is_left_out_and_remembered(imported):
    ball, slab = piece("ball", boulder(), shift=(0, 0, 45)), piece("slab", block(140, 140, 8))
    outcome = imported(ball, slab, unit="mm")
    assert "ground_block_left_out" in codes(outcome)
    (ground,) = outcome.hold.find(GroundBlock)
    assert ground.normal == pytest.approx((0, 0, 1), abs=1e-9)
    assert outcome.hold.whole.volume == pytest.approx(boulder().volume, rel=1e-9)
    kept = imported(ball, slab, unit="mm", ground_block="keep")
    assert kept.hold.whole.volume > outcome.hold.whole.volume


GROUND = piece("ground", block(140, 140, 8))
BALL = piece("ball", boulder(), shift=(0, 0, 60))


def found_about_slabs(outcome: Outcome) -> list[tuple[str, str, str]]:
    told = ("ground_block_left_out", "behind_ground_block", "slab_kept", "only_a_slab")
    return [(f.code, f.severity, f.message) for f in outcome.findings if f.code in told]


def test_a_ground_block_that_is_kept_gives_no_wall(imported):
    """The wall would lie on its inner face, and the cut take it off again."""
    outcome = imported(BALL, GROUND, unit="mm", ground_block="keep")
    assert outcome.hold.find(GroundBlock) == ()
    assert found_about_slabs(outcome) == []


def test_two_blocks_are_both_named_and_the_inner_one_gives_the_wall(imported):
    table = piece("table", block(300, 300, 20), shift=(0, 0, -20))
    outcome = imported(BALL, GROUND, table, unit="mm")
    ((_, severity, message),) = found_about_slabs(outcome)
    assert severity == "warning"
    assert '"table" and "ground"; the back goes by the face of "ground"' in message
    (ground,) = outcome.hold.find(GroundBlock)
    assert ground.point[2] == pytest.approx(8.0)
    kept = imported(BALL, GROUND, table, unit="mm", ground_block="keep", leave_out=("table",))
    assert kept.hold.whole.bounds[0, 2] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("side", "told"), [(70.0, True), (20.0, False)])
def test_a_block_smaller_than_the_hold_is_a_piece_like_others(imported, side, told):
    small = piece("plinth", block(side, side, 4), shift=(0, 0, 2))
    outcome = imported(BALL, small, unit="mm")
    assert outcome.hold.find(GroundBlock) == ()
    assert outcome.hold.whole.bounds[0, 2] == pytest.approx(2.0)
    assert [code for code, _, _ in found_about_slabs(outcome)] == ["slab_kept"] * told


def test_a_block_that_is_the_only_piece_is_the_hold_and_told(imported):
    outcome = imported(GROUND, unit="mm")
    assert [each[:2] for each in found_about_slabs(outcome)] == [("only_a_slab", "warning")]
    assert outcome.hold.whole.volume == pytest.approx(140 * 140 * 8)
    with pytest.raises(ParameterError, match="All 2 pieces are left out"):
        imported(BALL, GROUND, leave_out=("ball",))


@pytest.mark.parametrize(("tilt", "severity"), [(0.0, ""), (40.0, "warning")])
def test_a_tilted_block_tells_how_much_lies_behind_its_face(imported, tilt, severity):
    """Its face is raised to the middle of a bar that stands on it, and turned there."""
    turn = Rotation.from_euler("y", tilt, degrees=True).as_matrix()
    lie = placement(linear=turn) @ placement(shift=np.array([0.0, 0.0, -10.0]))
    bar = piece("bar", block(60, 20, 30), shift=(0, 0, -15 if tilt else 0))
    outcome = imported(bar, piece("ground", block(200, 200, 10).moved(lie)), unit="mm")
    (ground,) = outcome.hold.find(GroundBlock)
    assert ground.normal == pytest.approx(turn[:, 2], abs=1e-6) or tilt
    told = [each for each in found_about_slabs(outcome) if each[0] == "behind_ground_block"]
    assert [each[1] for each in told] == [severity] * bool(severity)
    if told:
        assert told[0][2].startswith("50 % of the sculpt lies behind the face")


def test_a_block_in_front_is_named_and_says_what_to_do(imported):
    outcome = imported(BALL, replace(GROUND, vertices=GROUND.vertices + np.array([0, 0, 90.0])), unit="mm")
    (ground,) = outcome.hold.find(GroundBlock)
    assert ground.normal == pytest.approx((0, 0, -1), abs=1e-9)
    told = [f for f in outcome.findings if f.code == "ground_block_left_out"]
    assert "pick the back if the slab lies in front of the hold" in told[0].advice


def test_a_block_that_does_not_touch_tells_its_distance(imported):
    far = replace(BALL, vertices=BALL.vertices + np.array([0, 0, 50.0]))
    ((_, severity, message),) = found_about_slabs(imported(far, GROUND, unit="mm"))
    assert severity == "note"
    gap = far.vertices[:, 2].min() - 8.0
    assert message.endswith(f"does not touch the sculpt, but lies {gap:.0f} mm before scaling behind it.")
