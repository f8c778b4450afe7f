"""Letters in the back that a nozzle just draws, and just does not."""

import pytest

from checks.printed import checked, printed
from holdwright.hold.feature import Engraving
from shapes import block


def letters(**settings: object):
    made = Engraving(("A",), 8.0, 0.8, 0.9, (6.0, 8.0), 0.0, 0.0, 0.8)
    return checked("letters_too_fine", printed(block(60.0, 60.0, 30.0), features=(made,), **settings))


@pytest.mark.parametrize(("line", "passes"), [(0.89, True), (0.91, False)])
def test_a_stroke_of_a_line_just_passes(line, passes):
    found = letters(line_width=line, nozzle=0.8, layer_height=0.4)
    assert (not found.findings) == passes
    assert found.figure == 0.9


@pytest.mark.parametrize(("height", "passes"), [(0.4, True), (0.41, False)])
def test_a_depth_of_two_layers_just_passes(height, passes):
    found = letters(line_width=0.8, nozzle=0.8, layer_height=height)
    assert (not found.findings) == passes


def test_a_back_without_letters_passes():
    assert checked("letters_too_fine", printed(block(60.0, 60.0, 30.0))).words == "no letters in the back"
