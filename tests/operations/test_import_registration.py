"""A sculpt that was moved since the recipe was made is brought back to where it lay, and it is told."""

import base64
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError, RecipeError
from holdwright.geometry.mesh.frame import move_points, placement
from holdwright.geometry.mesh.sculpt import Piece, Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.earlier_sculpt import EarlierSculpt, remembered
from holdwright.hold.hold import Hold
from holdwright.operations.base import OperationCache, Outcome, Run
from holdwright.operations.import_sculpt import ImportSculpt, ImportSculptParameters
from operations.outcomes import codes
from sculpts import piece, sculpt
from shapes import block, boulder, sphere

TURN = Rotation.from_euler("zyx", [12.0, -20.0, 7.0], degrees=True)
MOTION = placement(1.1 * TURN.as_matrix(), np.array([30.0, -10.0, 5.0]))


def lump() -> Solid:
    return Solid.checked(boulder(60.0, 0.3).kernel + sphere(15.0, 48).kernel.translate((40.0, 20.0, 10.0)))


def one(solid: Solid, *, digest: str = "a" * 32, origin=(0.0, 0.0, 0.0)) -> Sculpt:
    """Give a solid, in a file's coordinates, as a sculpt from that origin."""
    at = np.array(origin)
    return Sculpt((Piece("lump", solid.vertices - at, np.array(solid.triangles)),), at, digest)


def imported(of: Sculpt, earlier: EarlierSculpt | None = None, **parameters) -> Outcome:
    run = Run(Catalogue(), cache=OperationCache(), earlier=earlier)
    return ImportSculpt().apply(Hold(sculpt=of), ImportSculptParameters(**parameters), run)


def memory_of(of: Sculpt, scale: float | None = None) -> EarlierSculpt:
    return remembered(of, of.origin, np.eye(4), scale)


@pytest.mark.parametrize("origin", [(0.0, 0.0, 0.0), (500.0, -300.0, 20.0)])
def test_a_moved_sculpt_is_imported_where_the_one_before_lay(origin):
    solid = lump()
    before = imported(one(solid), unit="mm")
    moved = one(solid.moved(MOTION), digest="b" * 32, origin=origin)
    after = imported(moved, memory_of(one(solid)), unit="mm")
    assert np.abs(after.hold.whole.bounds - before.hold.whole.bounds).max() < 0.02
    assert after.hold.whole.volume == pytest.approx(before.hold.whole.volume, rel=1e-3)
    (told,) = (finding for finding in after.findings if finding.code == "sculpt_brought_back")
    middle = memory_of(one(solid)).shape.middle
    away = np.linalg.norm(move_points(MOTION, middle) - middle)
    assert told.measured == pytest.approx(away, abs=0.1)
    assert told.unit == "mm"
    degrees = np.degrees(TURN.magnitude())
    assert f"turned {degrees:.1f} degrees, 1.1 times as large" in told.message
    own = moved.pieces[0].vertices[:1]
    assert np.abs(move_points(after.hold.placement, own) - solid.vertices[:1]).max() < 0.02


def test_it_is_moved_and_turned_back_alone_where_its_size_is_to_stand():
    solid = lump()
    moved = one(solid.moved(MOTION), digest="b" * 32)
    memory = memory_of(one(solid))
    after = imported(moved, memory, unit="mm", moved="keep its size")
    middle = memory.shape.middle
    larger = placement(1.1 * np.eye(3), -0.1 * middle)
    assert np.abs(after.hold.whole.bounds - solid.moved(larger).bounds).max() < 0.03
    (told,) = (finding for finding in after.findings if finding.code == "sculpt_brought_back")
    assert told.message.endswith(
        "1.1 times as large; it was moved and turned back to where it lay, and keeps its size."
    )
    own = moved.pieces[0].vertices[:1]
    there = move_points(after.hold.laid, own)
    assert np.abs(there - solid.vertices[:1]).max() < 0.02, "places are followed to where they are on it"


def test_without_a_unit_it_keeps_the_scale_of_the_one_before_though_it_has_grown():
    solid = lump()
    grown = Solid.checked(solid.kernel + sphere(20.0, 48).kernel.translate((0.0, 0.0, 70.0)))
    before = imported(one(solid))
    scale = before.hold.placement[0, 0]
    after = imported(one(grown, digest="b" * 32), memory_of(one(solid), scale))
    assert (after.hold.placement == before.hold.placement).all()
    assert "sculpt_brought_back" not in codes(after)
    anew = imported(one(grown, digest="b" * 32))
    assert anew.hold.placement[0, 0] < 0.95 * scale


def test_it_is_left_as_it_lies_on_request_and_where_it_is_the_very_file():
    solid = lump()
    memory, moved = memory_of(one(solid)), one(solid.moved(MOTION), digest="b" * 32)
    left = imported(moved, memory, unit="mm", moved="leave")
    assert "sculpt_brought_back" not in codes(left)
    assert np.abs(left.hold.whole.bounds - moved.bounds).max() < 1e-4
    same = imported(one(solid), memory, unit="mm")
    assert (same.hold.placement == np.eye(4)).all()


def test_another_sculpt_is_told_and_left_as_it_lies():
    other = one(block(150.0, 40.0, 20.0), digest="b" * 32)
    outcome = imported(other, memory_of(one(lump())), unit="mm")
    (told,) = (finding for finding in outcome.findings if finding.code == "another_sculpt")
    assert 0.0 < told.measured < told.limit
    assert (outcome.hold.placement == np.eye(4)).all()


def test_the_ground_block_says_nothing_about_how_the_sculpt_lies():
    solid = lump()
    slab = piece("ground", block(400.0, 400.0, 20.0), shift=(0.0, 0.0, -75.0))
    with_block = sculpt(piece("lump", solid), slab)
    moved = one(solid.moved(MOTION), digest="b" * 32)
    outcome = imported(moved, memory_of(with_block), unit="mm")
    assert np.abs(outcome.hold.whole.bounds - solid.bounds).max() < 0.02


def test_what_is_remembered_of_what_was_brought_back_lies_where_the_one_before_lay():
    solid = lump()
    first = memory_of(one(solid), 2.0)
    moved = one(solid.moved(MOTION), digest="b" * 32, origin=(5.0, 6.0, 7.0))
    found, back = first.lies(moved)
    assert found.is_same
    second = remembered(moved, np.array(first.origin), back, first.scale)
    assert second.digest == ""
    assert np.abs(second.shape.middle - first.shape.middle).max() < 2.0
    again = imported(moved, second, unit="mm")
    assert np.abs(again.hold.whole.bounds - solid.bounds).max() < 0.02


def test_memory_that_cannot_be_read_is_a_sentence():
    memory = memory_of(one(lump()))
    for text in ("", "no base64!", "AAAA"):
        with pytest.raises(RecipeError, match="cannot be read; take the entry made_with out"):
            _ = replace(memory, points=text).shape
    with pytest.raises(RecipeError, match="cannot be read"):
        _ = replace(memory, high=(1e200, 1e200, 1e200)).shape


@pytest.mark.parametrize("rows", [1, 2, 3, 7])
def test_memory_of_a_few_points_says_nothing_and_breaks_nothing(rows):
    memory = memory_of(one(lump()))
    few = replace(memory, points=base64.b64encode(base64.b64decode(memory.points)[: 9 * rows]).decode())
    moved = one(lump().moved(MOTION), digest="b" * 32)
    if rows == 1:
        with pytest.raises(GeometryError, match="without any surface"):
            imported(moved, few, unit="mm")
    else:
        assert np.isfinite(imported(moved, few, unit="mm").hold.placement).all()
