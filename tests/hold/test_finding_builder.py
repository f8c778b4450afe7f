import ast
from pathlib import Path
from string import Formatter

import pytest

import holdwright
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import finding_table, folded, limit_of, new_finding, sentence_of

TEXTS = [file.read_text(encoding="utf-8") for file in sorted(Path(holdwright.__file__).parent.rglob("*.py"))]
CALLS = [
    node
    for text in TEXTS
    if "new_finding(" in text
    for node in ast.walk(ast.parse(text))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "new_finding"
]
BUILT = {"shell_in_pieces", "core_in_pieces", "sliver_to_core", "sliver_to_shell"}
"""Codes that the program puts together from the name of a part."""


def named(text: str) -> set[str]:
    return {field.partition(".")[0] for _, field, _, _ in Formatter().parse(text) if field}


def test_every_code_has_a_row_and_every_row_is_used():
    codes = {call.args[0].value for call in CALLS if isinstance(call.args[0], ast.Constant)}
    assert codes <= set(finding_table())
    nodes = (node for text in TEXTS for node in ast.walk(ast.parse(text)))
    constants = {
        node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    assert set(finding_table()) <= constants | BUILT


@pytest.mark.parametrize("call", CALLS, ids=lambda call: ast.unparse(call.args[0]))
def test_a_call_gives_the_figures_that_its_sentence_names(call):
    code = call.args[0]
    given = {keyword.arg for keyword in call.keywords}
    if None in given or not isinstance(code, ast.Constant):
        return
    row = finding_table()[code.value]
    own = given - {"where", "severity", "advice", "measured", "limit"}
    advice = next((keyword.value for keyword in call.keywords if keyword.arg == "advice"), None)
    texts = named(row.text) | (named(row.advice) if advice is None else set())
    assert texts - {"measured", "limit"} <= own
    if "limit" in texts:
        assert row.limit is not None or len(call.args) > 2 or "limit" in given


def test_limit_and_severity_come_from_the_row_unless_they_are_given():
    assert new_finding("washer_off_core", 60.0).severity == "warning"
    grave = new_finding("washer_off_core", 48.0)
    assert (grave.severity, grave.limit, grave.unit) == ("error", limit_of("washer_off_core"), "%")
    other = new_finding("washer_off_core", 60.0, 80.0, (1, 2, 3), severity="note", advice="At {measured:g}.")
    assert (other.severity, other.limit, other.advice) == ("note", 80.0, "At 60.")
    assert other.where == (1.0, 2.0, 3.0)
    cut = new_finding("collar_near_edge:cut", -1.0, depth=1.0, screw="the screw")
    assert cut.code == "collar_near_edge"


def test_a_row_without_a_share_for_errors_keeps_its_severity_even_below_zero():
    words = {"reason": "", "torque": 12.0, "material": "PETG", "mass": 80.0, "factor": 2.0}
    assert new_finding("place_chosen", -0.01, **words).severity == "note"


def test_several_findings_of_a_code_are_told_in_one_sentence() -> None:
    widths = [5.3, 6.0, 4.1]
    flats = [new_finding("flat_too_narrow", each, 8.0, depth=5.0) for each in widths]
    assert sentence_of(flats) == "3 flats are narrower than 8 mm, the narrowest 4.1 mm."
    assert sentence_of(flats[:1]) == flats[0].message
    alone = [new_finding("tips_not_all_searched", each, ball=4.0) for each in (3.0, 4.0)]
    assert sentence_of(alone) == f"{alone[0].message} 1 more like it."


@pytest.mark.parametrize("code", [code for code, row in finding_table().items() if row.several])
def test_every_sentence_for_several_can_be_said(code: str) -> None:
    row = finding_table()[code]
    alike = [Finding(code, row.severity, "", each, 8.0, row.unit) for each in (1.25, 3.5)]
    sentence = sentence_of(alike)
    assert sentence.endswith(".")
    assert "2 " in sentence or sentence.endswith("2 screws.")


def test_like_findings_are_told_as_one_where_there_is_a_sentence_for_several() -> None:
    flats = [new_finding("flat_too_narrow", each, 8.0, depth=5.0) for each in (4.0, 5.0)]
    walls = [new_finding("thin_wall_at_bore", each, 8.0, shown=each) for each in (3.0, 5.0)]
    told = folded([flats[0], walls[0], flats[1], walls[1]])
    assert [finding for _, finding in told] == [flats[0], walls[0], walls[1]]
    assert [sentence for sentence, _ in told] == [sentence_of(flats), walls[0].message, walls[1].message]
