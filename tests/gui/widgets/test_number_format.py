"""Measures within sentences, in inches for those who prefer them."""

import pytest

from holdwright.gui.widgets.number_format import in_unit, quantity_text

# An inch is 25.4 mm exactly: international yard and pound agreement of 1959.


def test_a_small_figure_is_told_from_its_limit_in_inches_too():
    figures = [quantity_text(each, "mm", "inch", beside=0.3) for each in (0.13, 0.3)]
    assert figures == ["0.005 in", "0.012 in"]


def test_what_is_bought_by_name_keeps_it():
    text = "5 mm wood screw, 50.8 mm from M10 x 60 mm"
    names = ("5 mm wood screw", "M10 x 60 mm", "")
    assert in_unit(text, "inch", names) == "5 mm wood screw, 2.00 in from M10 x 60 mm"


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("seat 14.2 mm thick, at 5.0, -25.4 mm", "seat 0.56 in thick, at 0.20, -1.00 in"),
        ("120.0 x 104.2 x 58.3 mm, size L", "4.72 x 4.10 x 2.30 in, size L"),
        ("rim 3 mm, back 84 cm2", "rim 0.12 in, back 13.02 in2"),
        ("seat depth 18 -> 22 mm", "seat depth 0.71 -> 0.87 in"),
        ("no material at x 25.4, y 50.8 mm; move it", "no material at x 1.00, y 2.00 in; move it"),
        ("The bore at (25.4, 0.0) mm has no seat", "The bore at (1.00, 0.00) in has no seat"),
        ("moved 0.02 mm", "moved 0.00079 in"),
        ("38 %, 2 of 3 tips, 4 pieces", "38 %, 2 of 3 tips, 4 pieces"),
        ("'18 mm plywood' of the hold's 18 mm", "'18 mm plywood' of the hold's 0.71 in"),
        ("pressed with 12 N/mm2 by M10 x 60", "pressed with 12 N/mm2 by M10 x 60"),
        ("lifts by 2.54 (0.508 to 25.4) mm", "lifts by 0.100 (0.0200 to 1.00) in"),
        ("bore 2 (5.08 mm wide)", "bore 2 (0.200 in wide)"),
        ("16.4 and more cm3", "1.00 and more in3"),
    ],
)
def test_measures_in_a_sentence(said, shown):
    assert in_unit(said, "inch") == shown
    assert in_unit(said, "mm") == said
