"""Figures as they are written and read."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from holdwright.gui.widgets.number_format import (
    count_text,
    length_scale,
    scale_of,
    size_text,
    typeset,
    volume_text,
)
from holdwright.operations import OPERATIONS
from holdwright.parameters.describe import describe

BY = "\N{MULTIPLICATION SIGN}"
FIGURES = ("length", "angle", "share", "percent", "number", "count")
FIELDS = [
    (operation.name, field)
    for operation in OPERATIONS
    for field in describe(operation.parameters)
    if field.kind in FIGURES
]


@pytest.mark.parametrize(("operation", "field"), FIELDS, ids=lambda part: getattr(part, "name", part))
@pytest.mark.parametrize("unit", ["mm", "inch"])
def test_arrows_lead_up_and_down_again_and_what_is_written_can_be_read(operation, field, unit):
    scale = scale_of(field, unit)
    up = scale.stepped(field.default, 1)
    assert up > field.default
    assert scale.stepped(up, -1) == pytest.approx(field.default, abs=scale.step * scale.unit)
    shown = scale.text(up)
    assert scale.read(shown) == pytest.approx(up, abs=scale.unit * 10.0**-scale.decimals)
    assert scale.text(scale.read(shown)) == shown


def test_units_may_be_typed_and_a_comma_is_a_point():
    mm, inch = length_scale("mm"), length_scale("inch")
    # 25.4 mm to the inch exactly: the international agreement of 1959.
    assert mm.read("1.5 in") == pytest.approx(38.1)
    assert mm.read('1"') == pytest.approx(25.4)
    assert mm.read("2,5cm") == pytest.approx(25.0)
    assert inch.read("12 mm") == pytest.approx(12.0)
    assert inch.read(" .5 ") == pytest.approx(12.7)
    for words in ("", "mm", "1.2.3", "12 kg", "nan", "1e5", "--2"):
        assert mm.read(words) is None


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 5000.0), st.sampled_from(["mm", "inch"]))
def test_any_length_is_read_as_it_is_written(value, unit):
    scale = length_scale(unit)
    assert scale.read(scale.text(value)) == pytest.approx(value, abs=scale.unit * 10.0**-scale.decimals)


def test_measures_in_words():
    assert size_text((120.0, 104.24, 58.3), "mm") == f"120.0 {BY} 104.2 {BY} 58.3 mm"
    assert size_text((127.0, 25.4, 50.8), "inch") == f"5.00 {BY} 1.00 {BY} 2.00 in"
    assert volume_text(312_400.0, "mm") == "312 cm³"
    assert volume_text(33_940.0, "mm") == "33.9 cm³"
    # 16.387064 cm3 to the cubic inch: follows from the inch.
    assert volume_text(16_387.064, "inch") == "1.0 in³"
    assert [count_text(each) for each in (940, 35_210, 1_240_000)] == ["940", "35 k", "1.2 M"]


def test_plain_text_is_typeset():
    assert typeset("85 cm2, 2 mm3") == "85 cm², 2 mm³"
    assert typeset("faces 180 deg away") == "faces 180° away"
    assert typeset("seat depth 18 -> 22 mm") == "seat depth 18 → 22 mm"
    assert typeset("box 12 x 4") == f"box 12 {BY} 4"
    assert typeset("M10 x fine, room2") == "M10 x fine, room2"


def test_no_line_is_broken_between_a_figure_and_its_unit():
    from holdwright.gui.widgets.number_format import held_together

    bound = "\N{NO-BREAK SPACE}"
    assert held_together("rim 3 mm, back 84 cm² in one") == f"rim 3{bound}mm, back 84{bound}cm² in one"
    assert held_together("at (-1, 2, 3) mm") == f"at (-1,{bound}2,{bound}3) mm"
    assert held_together("3 N (1 to 6 N)") == f"3{bound}N (1{bound}to{bound}6{bound}N)"
    assert held_together("12 N m, 30 % in 5 minutes") == f"12{bound}N{bound}m, 30{bound}% in 5 minutes"
