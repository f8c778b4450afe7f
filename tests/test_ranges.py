"""Ranges, and figures written with what they are worth."""

import math

import pytest

from holdwright.ranges import Range, adding_up, alike, two_digits


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.3777, "0.38"), (1.0, "1.0"), (0.998, "1.0"), (12.4, "12"), (1569.0, "1600"), (0.046, "0.046"),
     (0.0, "0"), (-2.34, "-2.3"), (99.9, "100"), (math.inf, "endless")],
)  # fmt: skip
def test_two_digits(value, text):
    assert two_digits(value) == text


def test_ends_go_together():
    clamp, friction = Range(2.0, 3.0, 4.0), Range(0.1, 0.2, 0.3)
    assert Range.by(lambda a, b: a * b, clamp, friction) == Range(0.2, pytest.approx(0.6), 1.2)
    assert friction.reversed == Range(0.3, 0.2, 0.1)
    assert friction.in_words == "0.20 (0.10 to 0.30)"


@pytest.mark.parametrize(
    ("values", "places", "rounded"),
    [
        ([175.6, 64.6, 240.2], 0, [176.0, 64.0, 240.0]),
        ([175.3, 64.4, 239.7], 0, [175.0, 65.0, 240.0]),
        ([3.14, 1.44, 4.58], 1, [3.2, 1.4, 4.6]),
        ([0.26, 0.14], 1, [0.3, 0.1]),
        ([math.inf, 1.0, math.inf], 0, [math.inf, 1.0, math.inf]),
    ],
)
def test_parts_as_written_add_up_to_their_sum_as_written(values, places, rounded):
    assert adding_up(values, places) == rounded


def test_a_row_of_parts_and_their_sum_adds_up():
    parts = [Range(170.0, 175.6, 180.0), Range(60.0, 64.6, 70.0)]
    both = Range(230.0, 240.2, 250.0)
    shell, core, total = (float(each.split()[0]) for each in alike([*parts, both], "g"))
    assert shell + core == total
