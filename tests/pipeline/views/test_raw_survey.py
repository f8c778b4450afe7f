import numpy as np
import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.hold.hold import Hold
from holdwright.operations.base import Run
from holdwright.operations.import_sculpt import ImportSculpt, ImportSculptParameters
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.views.raw_survey import RawSurvey, survey_pieces, survey_raw
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import SILENT
from recipes import new_recipe
from sculpts import piece, sculpt
from shapes import block


@pytest.fixture(scope="module")
def catalogue():
    return load_catalogue()


@pytest.fixture
def looked(catalogue, tmp_path):
    """Imports pieces and looks at them in the raw sculpt; gives names, accounts and the look."""

    def look(*pieces: Piece):
        raw = sculpt(*pieces)
        told = (
            ImportSculpt().apply(Hold(sculpt=raw), ImportSculptParameters(unit="mm"), Run(catalogue)).pieces
        )
        return told, survey_raw(bench(raw), told)

    def bench(raw) -> WorkContext:
        return WorkContext(
            new_recipe(), tmp_path / "x.obj", lambda _: raw, catalogue, Cache(0, None), SILENT, lambda _: None
        )

    look.bench = bench
    return look


def names(told, look: RawSurvey, group: int) -> list[str]:
    labels = look.owner[group]
    assert labels is not None
    return [told[number].name for number in labels]


def test_pieces_of_one_group_are_told_apart(looked):
    big, small = block(), block(10, 10, 10)
    both = Piece(
        "clay",
        np.concatenate([big.vertices, small.vertices + 45.0]),
        np.concatenate([small.triangles + len(big.vertices), big.triangles]),
    )
    told, look = looked(both, piece("nub", small))
    assert {each.name for each in told} == {"clay/1", "clay/2", "nub"}
    assert names(told, look, 0) == ["clay/2"] * 12 + ["clay/1"] * 12
    assert told[look.sole[1]].name == "nub"
    assert look.edge_count == 0


def test_open_edges_of_what_was_mended_are_given(looked):
    box = block()
    torn = Piece("hood", np.array(box.vertices), box.triangles[1:])
    told, look = looked(torn, piece("a", block(20, 20, 20)))
    assert look.edge_count == 3
    rim = box.vertices[box.triangles[0]]
    assert {tuple(end) for end in look.edges.reshape(-1, 3)} == {tuple(end) for end in rim}
    assert [told[number].name for number in look.sole] == ["hood", "a"]


def test_a_surface_parted_into_groups_is_one_piece_without_open_edges(looked):
    box = block()
    top = Piece("top", np.array(box.vertices), box.triangles[:6])
    rest = Piece("rest", np.array(box.vertices), box.triangles[6:])
    told, look = looked(top, rest)
    assert [each.name for each in told] == ["top + rest"]
    assert look.sole == (0, 0)
    assert look.edge_count == 0


def test_what_import_refuses_is_surveyed_all_the_same(looked):
    box = block()
    low = box.vertices[box.triangles][:, :, 2].max(axis=1) == 0.0
    plate = Piece("plate", np.array(box.vertices), box.triangles[low])
    told = survey_pieces(looked.bench(sculpt(piece("a", block()), plate)), None)
    assert [(each.name, each.grade) for each in told] == [("a", "as sculpted"), ("plate", "no solid")]
    assert "flat" in told[1].problem


def test_names_are_for_the_eye_and_tell_nothing_of_what_belongs_together(looked):
    box = block()
    sides = [
        Piece(f"side {number} + one more", np.array(box.vertices), box.triangles[2 * number : 2 * number + 2])
        for number in range(6)
    ]
    told, look = looked(*sides, piece("side 0", block(20, 20, 20)), piece("and more", block(10, 10, 10)))
    assert [each.name for each in told] == ["side 0", "and more", "side 0 + one more + 5 more"]
    assert look.sole == (2, 2, 2, 2, 2, 2, 0, 1)
