import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import ParameterError
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.repair.fuse import survey
from holdwright.hold.hold import Hold
from holdwright.operations.base import OperationCache, Run
from holdwright.operations.import_sculpt import ImportSculpt, ImportSculptParameters
from holdwright.pipeline.recipes.recipe_file import dump_recipe, recipe_of, recipe_text
from operations.outcomes import codes
from recipes import plain_starter
from sculpts import piece, sculpt
from shapes import block, sphere


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


def said_in(unit: str | None, *pieces: Piece) -> Hold:
    """Give a hold with a sculpt whose file states its unit."""
    return Hold(sculpt=replace(sculpt(*pieces), unit=unit))


def test_what_the_reader_passed_over_is_told(run):
    raw = replace(sculpt(piece("a", block())), notes=("Nine bytes were left unread.", "One line was odd."))
    outcome = ImportSculpt().apply(Hold(sculpt=raw), ImportSculptParameters(), run)
    (finding,) = outcome.findings
    assert finding.message == "Reading the file: Nine bytes were left unread. One line was odd."
    assert finding.severity == "note"


def test_the_unit_may_be_as_the_file_says(run):
    asked = ImportSculptParameters(unit="as the file says")
    outcome = ImportSculpt().apply(said_in("inch", piece("a", block(1, 1, 1))), asked, run)
    assert outcome.hold.sized
    assert outcome.hold.whole.volume == pytest.approx(25.4**3)
    assert outcome.findings == ()
    with pytest.raises(ParameterError, match="says none"):
        ImportSculpt().apply(said_in(None, piece("a", block(1, 1, 1))), asked, run)


def test_a_unit_other_than_the_files_is_a_finding(run):
    metres = said_in("m", piece("a", block(0.12, 0.1, 0.05)))
    outcome = ImportSculpt().apply(metres, ImportSculptParameters(unit="mm"), run)
    assert codes(outcome) == ["unit_contradicts_file"]
    (finding,) = outcome.findings
    assert (finding.measured, finding.limit) == pytest.approx((0.12, 120.0))
    for unit in ("m", "by envelope", "as the file says"):
        outcome = ImportSculpt().apply(metres, ImportSculptParameters(unit=unit), run)
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


def test_pieces_left_out_need_no_second_survey(monkeypatch):
    surveys = []
    monkeypatch.setattr(
        "holdwright.operations.import_sculpt.survey",
        lambda *given, **more: surveys.append(more) or survey(*given, **more),
    )
    run = Run(load_catalogue(), cache=OperationCache())
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
    path = Path(__file__).parent / "old_recipes" / "rebuild_grid_named_voxel.json"
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
