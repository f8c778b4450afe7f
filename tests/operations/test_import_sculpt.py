import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from holdwright.catalogue.catalogue import Catalogue, load_catalogue
from holdwright.errors import InputError, ParameterError
from holdwright.geometry.measure.deviation import Deviation
from holdwright.geometry.mesh.frame import scaling
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.repair.fuse import survey
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.geometry.repair.repair_account import Mending
from holdwright.hold.feature import GroundBlock
from holdwright.hold.hold import Hold
from holdwright.operations.base import Kept, Outcome, Run
from holdwright.operations.import_findings import mended_findings
from holdwright.operations.import_sculpt import ImportSculpt, ImportSculptParameters
from holdwright.pipeline.recipe_file import dump_recipe, find_recipe, load_recipe, recipe_of, recipe_text
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


def test_an_open_piece_is_closed_and_reported(imported):
    box = block()
    torn = Piece("hood", np.array(box.vertices), box.triangles[1:])
    outcome = imported(torn, unit="mm")
    assert outcome.hold.whole.volume == pytest.approx(box.volume)
    (finding,) = outcome.findings
    assert finding.code == "piece_mended"
    assert finding.severity == "warning"
    assert "1 hole was closed" in finding.message
    assert finding.measured == pytest.approx(0.0, abs=1e-9)


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


def test_many_mended_pieces_make_one_finding(imported):
    box = block(10, 10, 10)
    torn = [
        Piece(f"blob {number}", box.vertices + np.array([6.0 * number, 0, 0]), box.triangles[1:])
        for number in range(8)
    ]
    outcome = imported(*torn, unit="mm")
    (finding,) = outcome.findings
    assert "8 pieces were mended" in finding.message
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
    torn = Piece("hood", np.array(block().vertices), block().triangles[1:])
    (sized,) = imported(torn, unit="mm").findings
    assert "less than 0.001 mm apart" in sized.message
    account = Mending("mended", away=Deviation(0.04, 0.01))
    told = SculptPiece("coat", ("coat",), 9, np.array([[0.0, 0, 0], [50, 40, 30]]), None, mending=account)
    (sized,) = mended_findings([told], scaling(2.0), sized=True)
    assert (sized.measured, sized.unit) == (pytest.approx(0.08), "mm")
    assert sized.message.endswith("at most 0.08 mm apart, before scaling.")
    (by_envelope,) = mended_findings([told], scaling(2.0), sized=False)
    assert (by_envelope.measured, by_envelope.unit) == (pytest.approx(0.08), "%")
    assert by_envelope.message.endswith("at most 0.08% of the extent apart.")


def test_pieces_left_out_need_no_second_survey(catalogue, monkeypatch):
    surveys = []
    monkeypatch.setattr(
        "holdwright.operations.import_sculpt.survey",
        lambda *given, **more: surveys.append(more) or survey(*given, **more),
    )
    run = Run(catalogue, kept=Kept())
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
    started = load_recipe(find_recipe("starter")).steps
    assert (started[1], *started[4:]) == (led.steps[1], *led.steps[4:])
    assert led.steps[2].parameters.measured == "whole sculpt"
    assert led.steps[3].parameters.by == "one outline"
