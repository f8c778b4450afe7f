"""Ranges, and figures written with what they are worth."""

import math

import pytest

from holdwright.ranges import Range, two_digits


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
