from dataclasses import replace

import numpy as np
import pytest

from holdwright.geometry.mesh.mesh import Mesh
from holdwright.ranges import Range
from holdwright.strength.breaking_findings import breaking_findings, way_of
from holdwright.strength.strength_result import CaseStrength, Change, StrengthResult
from holdwright.strength.strength_texts import (
    change_groups,
    headline,
    ratio_text,
    refused_sentences,
    where_sentence,
)

CASE = CaseStrength(
    direction=(0.0, -0.98, 0.2),
    loaded_at=(0.0, 40.0, 50.0),
    force=1600.0,
    index=0.8,
    stress=30.0,
    breaks_at=Range(1500.0, 2000.0, 2600.0),
    place=(1.0, 2.0, 3.0),
    region="shell skin",
    between_layers=True,
    deflection=1.5,
)
TODAY = Change("infill", "35 %", 1.0, 1.0, solved=False, today=True)
REFUSED = Change("bolt", "(1, 2) mm", float("nan"), float("nan"), solved=True, refused="No room there.")
RESULT = StrengthResult(
    cases=(CASE,),
    changes=(TODAY, REFUSED),
    patch=Mesh(np.zeros((3, 3)), np.array([[0, 1, 2]])),
    cell=3.0,
    cells=1000,
    grid_error=0.2,
    thin=0.01,
    second_opinion=None,
    second_load=None,
    printed=("shell PETG, 2 mm skin, 35 % infill",),
    assumptions=(),
    sources=(),
)


def of(**changes) -> StrengthResult:
    return replace(RESULT, cases=(replace(CASE, **changes),))


def codes(result: StrengthResult) -> list[tuple[str, str]]:
    return [(each.code, each.severity) for each in breaking_findings(result)]


def test_a_load_is_told_no_finer_than_a_factor_of_two_either_way():
    assert CASE.told == Range(1000.0, 2000.0, 4000.0)
    wide = replace(CASE, breaks_at=Range(700.0, 2000.0, 5000.0))
    assert wide.told == Range(700.0, 2000.0, 5000.0)
    assert headline(RESULT) == "Breaks first near 2000 N (1000 to 4000 N)"


def test_where_it_bends_far_before_it_breaks_nothing_finer_than_near_is_said():
    limp = of(index=1.6, deflection=6.0, breaks_at=Range(800.0, 1000.0, 1300.0))
    assert headline(limp) == "Fails near 1000 N"
    assert codes(limp) == [("breaks_early", "warning"), ("bends_much", "note")]


@pytest.mark.parametrize(
    ("likely", "wanted"),
    [(1500.0, [("breaks_early", "warning")]), (3000.0, [("breaks_perhaps", "note")]), (4000.0, [])],
)
def test_findings_are_a_warning_below_the_load_and_a_note_within_its_doubt(likely, wanted):
    assert codes(of(breaks_at=Range(0.9 * likely, likely, 1.1 * likely))) == wanted


def test_thin_walls_are_flagged():
    assert codes(replace(RESULT, cases=(replace(CASE, breaks_at=Range(4e3, 5e3, 6e3)),), thin=0.2)) == [
        ("thin_for_cells", "note")
    ]


@pytest.mark.parametrize(
    ("direction", "words"),
    [
        ((0.0, -1.0, 0.2), "down"),
        ((-0.1, 0.95, 0.2), "up"),
        ((0.9, 0.1, 0.2), "to the right"),
        ((-0.6, -0.7, 0.2), "down to the left"),
        ((0.1, 0.1, 0.98), "off the wall"),
    ],
)
def test_the_way_of_a_load_in_words(direction, words):
    assert way_of(direction) == words


def test_sentences_say_load_place_and_manner():
    told = where_sentence(replace(CASE, place=(-0.3, 2.0, 3.4)))
    assert "at (0, 2, 3) mm" in told
    assert told.startswith("Pulled down with 1600 N it uses 80 % of its strength, most in the shell skin")
    assert "where layers come apart; it bends by 1.5 mm" in told
    assert [title for title, _ in change_groups(RESULT.changes)] == ["Infill of the shell", "Bolt at"]
    assert refused_sentences(RESULT.changes) == ["No room there."]
    assert (ratio_text(1.234), ratio_text(float("nan"))) == ("x 1.23", "-")
