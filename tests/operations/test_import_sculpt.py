import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from holdwright.catalogue.catalogue import Catalogue, load_catalogue
from holdwright.errors import InputError, ParameterError
from holdwright.geometry.measure.deviation import Deviation
from holdwright.geometry.mesh.frame import placement, scaling
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.repair.fuse import survey
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.geometry.repair.repair_account import Mending
from holdwright.hold.feature import GroundBlock
from holdwright.hold.hold import Hold
from holdwright.operations.base import OperationCache, Outcome, Run
from holdwright.operations.import_findings import SculptScale, mended_findings
from holdwright.operations.import_sculpt import CLOSE_FLAT, ImportSculpt, ImportSculptParameters
from holdwright.pipeline.recipe_file import dump_recipe, recipe_of, recipe_text
from recipes import plain_starter
from sculpts import height_field, piece, sculpt, waves
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


def said_in(unit: str | None, *pieces: Piece) -> Hold:
    """Give a hold with a sculpt whose file states its unit."""
    return Hold(sculpt=replace(sculpt(*pieces), unit=unit))


def test_what_the_reader_passed_over_is_told(catalogue):
    raw = replace(sculpt(piece("a", block())), notes=("Nine bytes were left unread.", "One line was odd."))
    outcome = ImportSculpt().apply(Hold(sculpt=raw), ImportSculptParameters(), Run(catalogue))
    (finding,) = outcome.findings
    assert finding.message == "Reading the file: Nine bytes were left unread. One line was odd."
    assert finding.severity == "note"


def test_the_unit_may_be_as_the_file_says(catalogue):
    asked = ImportSculptParameters(unit="as the file says")
    outcome = ImportSculpt().apply(said_in("inch", piece("a", block(1, 1, 1))), asked, Run(catalogue))
    assert outcome.hold.sized
    assert outcome.hold.whole.volume == pytest.approx(25.4**3)
    assert outcome.findings == ()
    with pytest.raises(ParameterError, match="says none"):
        ImportSculpt().apply(said_in(None, piece("a", block(1, 1, 1))), asked, Run(catalogue))


def test_a_unit_other_than_the_files_is_a_finding(catalogue):
    metres = said_in("m", piece("a", block(0.12, 0.1, 0.05)))
    outcome = ImportSculpt().apply(metres, ImportSculptParameters(unit="mm"), Run(catalogue))
    assert codes(outcome) == ["unit_contradicts_file"]
    (finding,) = outcome.findings
    assert (finding.measured, finding.limit) == pytest.approx((0.12, 120.0))
    for unit in ("m", "by envelope", "as the file says"):
        outcome = ImportSculpt().apply(metres, ImportSculptParameters(unit=unit), Run(catalogue))
        assert outcome.findings == ()


def test_every_piece_is_accounted_for(imported):
    box = block()
    torn = Piece("hood", box.vertices + np.array([30.0, 0, 0]), box.triangles[1:])
    far = piece("far", block(5, 5, 5), shift=(500, 0, 0))
    slab = piece("slab", block(1400, 1400, 8), shift=(0, 0, -60))
    scrap = Piece("bit", np.array([[0.0, 0, 90], [0.3, 0, 90], [0, 0.3, 90]]), np.array([[0, 1, 2]]))
    outcome = imported(piece("a", box, inside_out=True), torn, far, slab, scrap, unit="cm")
    told = {each.name: each for each in outcome.pieces}
    assert {name: (each.grade, each.role) for name, each in told.items()} == {
        "a": ("mended", ""),
        "hood": ("mended", ""),
        "far": ("as sculpted", "loose piece"),
        "slab": ("as sculpted", "ground block"),
        "bit": ("no solid", "scrap"),
    }
    assert told["hood"].size == pytest.approx((100, 80, 40))
    assert told["hood"].volume == pytest.approx(box.volume)
    assert told["hood"].deviation == pytest.approx(0.0, abs=1e-6)
    ((middle, span),) = told["hood"].holes
    assert np.linalg.norm(middle - np.array([30.0, 0, 0])) < 60
    assert 80 < span < 140
    assert "1 hole was closed" in told["hood"].done
    assert told["bit"].deviation is None
    assert told["bit"].problem


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


def test_pieces_left_out_need_no_second_survey(catalogue, monkeypatch):
    surveys = []
    monkeypatch.setattr(
        "holdwright.operations.import_sculpt.survey",
        lambda *given, **more: surveys.append(more) or survey(*given, **more),
    )
    run = Run(catalogue, cache=OperationCache())
    raw = sculpt(piece("a", block()), piece("b", sphere(20.0), shift=(50, 0, 0)))
    volumes = {}
    for number, changes in enumerate(
        ({}, {"leave_out": ("b",)}, {"ground_block": "keep"}, {"largest_hole": 0.5}, {}), start=1
    ):
        asked = ImportSculptParameters(unit="mm", **changes)
        volumes[number] = ImportSculpt().apply(Hold(sculpt=raw), asked, run).hold.whole.volume
    assert len(surveys) == 3, "one at first, one for another limit, one on going back"
    assert volumes[1] == volumes[3] == pytest.approx(volumes[5])
    assert volumes[2] == pytest.approx(block().volume)
    other = replace(raw, digest="1" * 32, pieces=raw.pieces[:1])
    outcome = ImportSculpt().apply(Hold(sculpt=other), ImportSculptParameters(unit="mm"), run)
    assert outcome.hold.whole.volume == pytest.approx(block().volume)
    assert len(surveys) == 4


@pytest.mark.parametrize("version", [1, 2])
def test_a_recipe_that_names_the_rebuild_grid_as_before_opens_with_its_value(version):
    path = Path(__file__).parent.parent / "pipeline" / "old_recipes" / "rebuild_grid_named_voxel.json"
    content = json.loads(path.read_text(encoding="utf-8"))
    content["steps"][0]["version"] = content["steps"][1]["version"] = version
    led = recipe_of(content)
    assert dump_recipe(led)["steps"][0]["version"] == 3
    assert led.steps[0].parameters.rebuild_grid == 0.6
    assert "voxel" not in recipe_text(led)
    started = plain_starter().steps
    assert (started[1], *started[4:-1]) == (led.steps[1], *led.steps[4:-1])
    assert led.steps[2].parameters.measured == "whole sculpt"
    assert led.steps[3].parameters.by == "one outline"
