"""Pieces that are no solids: closed, refused, left out, and what is said of it."""

from dataclasses import replace

import numpy as np
import pytest

from holdwright.errors import InputError
from holdwright.geometry.measure.deviation import Deviation
from holdwright.geometry.mesh.frame import scaling
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.geometry.repair.repair_account import Mending
from holdwright.operations.import_findings import SculptScale, mended_findings
from holdwright.operations.import_sculpt import CLOSE_FLAT
from operations.outcomes import codes
from sculpts import height_field, piece, waves
from shapes import block, sphere


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


def test_an_open_piece_is_closed_and_reported(imported):
    box = block()
    torn = Piece("hood", np.array(box.vertices), box.triangles[1:])
    outcome = imported(torn, unit="mm")
    assert outcome.hold.whole.volume == pytest.approx(box.volume)
    (finding,) = outcome.findings
    assert finding.code == "holes_closed"
    assert finding.severity == "warning"
    assert finding.message == 'Closed a hole in "hood", 108 mm across before scaling.'
    assert finding.where == pytest.approx((-16.7, -40, 13.3), abs=0.1)


def test_an_open_piece_is_refused_by_name_where_asked(imported):
    box = block()
    torn = Piece("hood", np.array(box.vertices), box.triangles[1:])
    with pytest.raises(InputError, match=r'"hood".*open edge'):
        imported(piece("a", block()), torn, mend="refuse")
    kept = imported(piece("a", block()), torn, leave_out=("hood",), unit="mm", mend="refuse")
    assert kept.hold.whole.volume == pytest.approx(320_000)


def test_holes_wider_than_asked_are_not_closed(imported):
    box = block()
    torn = Piece("hood", np.array(box.vertices), box.triangles[1:])
    with pytest.raises(InputError, match=r'"hood".*a hole as wide as \d+%'):
        imported(torn, largest_hole=0.2)


def test_a_sheet_is_refused_as_what_it_is(imported):
    box = block()
    low = box.vertices[box.triangles][:, :, 2].max(axis=1) == 0.0
    with pytest.raises(InputError, match="it is flat"):
        imported(Piece("plate", np.array(box.vertices), box.triangles[low]))


def test_a_scrap_beside_a_sound_piece_is_left_out_and_reported(imported):
    scrap = Piece("bit", np.array([[0.0, 0, 90], [0.3, 0, 90], [0, 0.3, 90]]), np.array([[0, 1, 2]]))
    outcome = imported(piece("a", block()), scrap, unit="mm")
    assert codes(outcome) == ["scraps_left_out"]
    assert outcome.hold.whole.volume == pytest.approx(320_000)


def test_a_stray_sheet_is_left_out_where_it_touches_nothing_and_loose_pieces_are(imported):
    """A sheet a tenth as wide as the block: beside it, it is a stray; on its face it may be meant."""
    corners = np.array([[0.0, 0, 0], [8, 0, 0], [0, 8, 0], [8, 8, 1]])
    stray = Piece("stray", corners + np.array([70.0, 0.0, 10.0]), np.array([[0, 1, 2], [1, 3, 2]]))
    outcome = imported(piece("a", block()), stray, unit="mm")
    assert codes(outcome) == ["scraps_left_out"]
    assert '"stray"' in outcome.findings[0].message
    assert outcome.hold.whole.volume == pytest.approx(block().volume)
    with pytest.raises(InputError, match="stray"):
        imported(piece("a", block()), stray, unit="mm", loose_pieces="keep")
    on_face = replace(stray, vertices=stray.vertices - [25.0, 0.0, 0.0])
    with pytest.raises(InputError, match="stray"):
        imported(piece("a", block()), on_face, unit="mm")


def test_a_hole_nobody_sees_is_a_note(imported):
    ball = sphere(20.0, 200)
    (finding,) = imported(Piece("ball", np.array(ball.vertices), ball.triangles[1:]), unit="mm").findings
    assert (finding.code, finding.severity) == ("holes_closed", "note")
    assert 0.0 < finding.measured < 2.0


RELIEF = height_field(waves, n=41)


def test_a_relief_is_refused_with_an_offer_and_closed_where_asked(imported):
    with pytest.raises(InputError, match=f"without a back.*close it in the sculpt, or {CLOSE_FLAT}"):
        imported(RELIEF, unit="mm")
    with pytest.raises(InputError, match=r"open edges; close it in the sculpt\.$"):
        imported(RELIEF, unit="mm", mend="refuse", open_back="close flat")
    outcome = imported(RELIEF, unit="mm", open_back="close flat")
    (finding,) = outcome.findings
    assert (finding.code, finding.severity) == ("back_closed", "warning")
    assert finding.measured == pytest.approx(12.0 + 0.02 * np.sqrt(2 * 100**2 + 12**2), rel=1e-3)
    assert outcome.pieces[0].done == ("a flat back was put behind it",)
    by_envelope = imported(RELIEF, open_back="close flat")
    assert by_envelope.findings[0].measured == pytest.approx(finding.measured, rel=1e-3)
    assert by_envelope.findings[0].unit == "%"


def test_a_relief_beside_closed_pieces_is_offered_its_back_too(imported):
    with pytest.raises(
        InputError, match=f"close them in the sculpt, leave them out by name, or {CLOSE_FLAT}"
    ):
        imported(RELIEF, piece("a", block()), unit="mm")
    outcome = imported(RELIEF, piece("a", block(20, 20, 40)), unit="mm", open_back="close flat")
    assert outcome.result == "2 pieces fused"


def test_a_sheet_of_two_rims_is_refused_with_their_width(imported):
    ring = height_field(waves, n=41, keep=lambda x, y: np.hypot(x, y) > 40.0)
    with pytest.raises(
        InputError, match=r"several open rims, 1\d\d mm and 1\d\d mm wide.*close it in the sculpt\.$"
    ):
        imported(ring, unit="mm", open_back="close flat")
    with pytest.raises(InputError, match=r"several open rims, \d+% and \d+% of its extent wide"):
        imported(ring, open_back="close flat")


def test_specks_that_touch_nothing_are_a_note(imported):
    speck = piece("speck", block(0.5, 0.5, 0.5), shift=(300, 0, 0))
    (finding,) = imported(piece("a", block()), speck, unit="mm").findings
    assert (finding.code, finding.severity) == ("loose_pieces_left_out", "note")
    assert "0.12 mm3 before scaling, under 0.01 % of the hold" in finding.message


def test_many_mended_pieces_make_one_finding(imported):
    box = block(10, 10, 10)
    torn = [
        Piece(f"blob {number}", box.vertices + np.array([6.0 * number, 0, 0]), box.triangles[1:])
        for number in range(8)
    ]
    outcome = imported(*torn, unit="mm")
    (finding,) = outcome.findings
    assert finding.message == 'Closed 8 holes, the widest, in "blob 0", 14 mm across before scaling.'
    assert outcome.hold.whole.volume == pytest.approx(52 * 100)


@pytest.mark.parametrize(("cavities", "volume"), [("fill", 320_000), ("keep", 320_000 - 8000)])
def test_a_hollow_within_its_group_is_filled_or_kept(imported, cavities, volume):
    box, hollow = block(), block(20, 20, 20)
    joined = Piece(
        "shell",
        np.vstack([box.vertices, hollow.vertices + np.array([0, 0, 10])]),
        np.vstack([box.triangles, hollow.triangles[:, ::-1] + len(box.vertices)]),
    )
    outcome = imported(joined, unit="mm", cavities=cavities)
    assert outcome.hold.whole.volume == pytest.approx(volume)
    assert ("cavities_kept" if cavities == "keep" else "cavities_filled") in codes(outcome)


def test_an_inside_out_piece_adds_and_is_reported(imported):
    outcome = imported(piece("a", block()), piece("b", block(), inside_out=True, shift=(50, 0, 0)), unit="mm")
    assert "inside_out" in codes(outcome)
    assert outcome.hold.whole.volume == pytest.approx(150 * 80 * 40)


def test_departures_are_told_so_that_scaling_keeps_them_true(imported):
    told = [coat(0.1)]
    (sized,) = mended_findings(told, SculptScale.of(told, scaling(2.0), sized=True))
    assert (sized.measured, sized.unit, sized.severity) == (pytest.approx(0.2), "mm", "warning")
    assert sized.message.startswith(
        'Mending moved the surface of "coat 0.1" by up to 0.2 mm before scaling: '
    )
    (by_envelope,) = mended_findings(told, SculptScale.of(told, scaling(2.0), sized=False))
    assert (by_envelope.measured, by_envelope.unit) == (pytest.approx(0.2), "%")
    assert "by up to 0.24 mm on a hold of 120 mm: " in by_envelope.message


def coat(away: float) -> SculptPiece:
    """A piece 50 wide that mending moved so far."""
    account = Mending("mended", dropped=3, away=Deviation(away, away / 4), doubled=0.001, counted=1e5)
    box = np.array([[0.0, 0, 0], [50, 40, 30]])
    return SculptPiece(f"coat {away:g}", ("coat",), 9, box, None, mending=account)


def test_what_mending_moved_is_told_by_its_size_and_trifles_in_one_note():
    pieces = [coat(away) for away in (0.01, 2.0, 0.0, 0.3, 0.04)]
    *moved, slight = mended_findings(pieces, SculptScale.of(pieces, scaling(1.0), sized=True))
    assert [each.measured for each in moved] == [2.0, 0.3]
    assert {each.severity for each in moved} == {"warning"}
    assert moved[0].message.endswith(
        "3 double or loose faces were left out and overlap with itself resolved."
    )
    assert (slight.code, slight.severity, slight.limit) == ("piece_mended", "note", 0.1)
    assert (
        slight.message == "Mended where nobody sees it: 3 pieces, moved by less than 0.1 mm before scaling."
    )
    many = [coat(0.2 + 0.01 * number) for number in range(40)]
    (one,) = mended_findings(many, SculptScale.of(many, scaling(1.0), sized=True))
    assert '"coat 0.59" by up to 0.59 mm before scaling (and of 39 other pieces by less)' in one.message
