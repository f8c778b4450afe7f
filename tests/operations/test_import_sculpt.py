import numpy as np
import pytest

from holdwright.catalogue.catalogue import Catalogue, load_catalogue
from holdwright.errors import InputError, ParameterError
from holdwright.geometry.sculpt import Piece
from holdwright.hold.feature import GroundBlock
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.import_sculpt import ImportSculpt, ImportSculptParameters
from sculpts import piece, sculpt
from shapes import block, boulder, sphere


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue()


@pytest.fixture
def imported(catalogue):
    def run(*pieces: Piece, **parameters: object) -> Outcome:
        hold = Hold(sculpt=sculpt(*pieces))
        return ImportSculpt().apply(hold, ImportSculptParameters(**parameters), Run(catalogue))

    return run


def codes(outcome: Outcome) -> list[str]:
    return [finding.code for finding in outcome.findings]


def test_overlapping_pieces_become_one_solid_without_double_volume(imported):
    outcome = imported(piece("a", block()), piece("b", block()), unit="mm")
    assert outcome.hold.whole.volume == pytest.approx(100 * 80 * 40)
    assert outcome.hold.sized
    assert outcome.result == "2 pieces fused"


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1), ("cm", 10), ("m", 1000), ("inch", 25.4)])
def test_the_unit_scales_lengths(imported, unit, factor):
    outcome = imported(piece("a", block(1, 1, 1)), unit=unit)
    assert outcome.hold.whole.volume == pytest.approx(factor**3)


def test_by_envelope_leaves_the_size_open(imported):
    outcome = imported(piece("a", block(0.2, 0.1, 0.05)))
    assert not outcome.hold.sized
    assert outcome.hold.whole.size == pytest.approx([100, 50, 25])


def test_a_ground_block_is_left_out_and_remembered(imported):
    ball, slab = piece("ball", boulder(), shift=(0, 0, 45)), piece("slab", block(140, 140, 8))
    outcome = imported(ball, slab, unit="mm")
    assert "ground_block_left_out" in codes(outcome)
    (ground,) = outcome.hold.find(GroundBlock)
    assert ground.normal == pytest.approx((0, 0, 1), abs=1e-9)
    assert outcome.hold.whole.volume == pytest.approx(boulder().volume, rel=1e-9)
    kept = imported(ball, slab, unit="mm", ground_block="keep")
    assert kept.hold.whole.volume > outcome.hold.whole.volume


def test_loose_pieces_are_left_out_and_reported_unless_kept(imported):
    far = piece("speck", block(5, 5, 5), shift=(300, 0, 0))
    outcome = imported(piece("a", block()), far, unit="mm")
    assert outcome.hold.whole.volume == pytest.approx(320_000)
    finding = next(f for f in outcome.findings if f.code == "loose_pieces_left_out")
    assert finding.measured == pytest.approx(125 / 320_000 * 100)
    kept = imported(piece("a", block()), far, unit="mm", loose_pieces="keep")
    assert kept.hold.whole.volume == pytest.approx(320_125)
    assert "several_bodies" in codes(kept)


def test_pieces_are_left_out_by_pattern(imported):
    outcome = imported(
        piece("horn 1", sphere(10)),
        piece("horn 2", sphere(10)),
        piece("body", block()),
        leave_out=("horn*",),
        unit="mm",
    )
    assert outcome.hold.whole.volume == pytest.approx(320_000)
    missed = imported(piece("body", block()), leave_out=("ear*",))
    assert codes(missed) == ["piece_not_met"]


def test_leaving_all_out_is_refused(imported):
    with pytest.raises(ParameterError, match="nothing is there"):
        imported(piece("a", block()), leave_out=("*",))


def test_a_sealed_cavity_is_filled_and_reported(imported):
    walls = [
        piece("floor", block(100, 100, 10)),
        piece("lid", block(100, 100, 10), shift=(0, 0, 90)),
        piece("left", block(10, 100, 100), shift=(-45, 0, 0)),
        piece("right", block(10, 100, 100), shift=(45, 0, 0)),
        piece("front", block(100, 10, 100), shift=(0, -45, 0)),
        piece("back", block(100, 10, 100), shift=(0, 45, 0)),
    ]
    outcome = imported(*walls, unit="mm", ground_block="keep")
    assert "cavities_filled" in codes(outcome)
    assert outcome.hold.whole.volume == pytest.approx(1_000_000)


def test_an_open_piece_is_refused_by_name(imported):
    box = block()
    spoilt = Piece("hood", np.array(box.vertices), box.triangles[1:])
    with pytest.raises(InputError, match=r'"hood".*open edge'):
        imported(piece("a", block()), spoilt)
    assert imported(
        piece("a", block()), spoilt, leave_out=("hood",), unit="mm"
    ).hold.whole.volume == pytest.approx(320_000)


def test_an_inside_out_piece_adds_and_is_reported(imported):
    outcome = imported(piece("a", block()), piece("b", block(), inside_out=True, shift=(50, 0, 0)), unit="mm")
    assert "inside_out" in codes(outcome)
    assert outcome.hold.whole.volume == pytest.approx(150 * 80 * 40)
