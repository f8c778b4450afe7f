"""Many numbers out of text, quickly and without guessing.

The quick way is numpy's own scanner over a whole stretch of text. It alone would be careless: it takes "1-2"
for two numbers and does not know lines. So a stretch counts as read only when as many numbers came out as
words went in, and when every line, its digits struck out, looks the same. Then each word was exactly one
number, and each line held equally many; anything else is left to the caller's exact way.
"""

import re
import warnings
from typing import Any

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Floats, Indices

_NUMBER = re.compile(rb"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_PLUS, _MINUS, _POINT = b"+-."
_POWERS = 10.0 ** np.arange(23)
NUMBER_LETTERS = b"0123456789.+-eE"
"""All letters that decimal numbers are written with."""


def number(word: bytes) -> float:
    """Give the value of a decimal number, or NaN for any other word."""
    return float(word) if _NUMBER.fullmatch(word) else float("nan")


def scan_floats(text: bytes) -> Floats | None:
    """Read all words of `text` as (n,) float64; None unless each of them is one number."""
    values = _scan_decimals(text)
    if values is not None:
        return values
    values = _scan(text, np.float64)
    return values if values is not None and len(values) == word_count(text) else None


def scan_integers(text: bytes) -> Indices | None:
    """Read `text` as (n,) int64 up to its end; None when something else stands in it.

    Two integers may share a word ("1-2"): the caller checks the shape of the lines.
    """
    return _scan(text, np.int64)


def scan_table(
    text: bytes, line: bytes, columns: int, marks: bytes, *, letters: bytes = NUMBER_LETTERS
) -> NDArray[Any] | None:
    """Read lines of one shape as (rows, columns), int64 where `letters` are digits alone and else float64.

    Parameters
    ----------
    text
        Lines of numbers and marks, words parted by single spaces.
    line
        A line without the letters of its numbers; it must have a space before each number but the first.
    marks
        What the lines have besides numbers and blanks.

    Returns
    -------
    The numbers, or None when the lines are not all of this one shape.
    """
    shape = text.translate(None, letters)
    rows = len(shape) // len(line)
    if not rows or shape != line * rows:
        return None
    values = (scan_integers if letters.isdigit() else scan_floats)(text.translate(None, marks))
    # No line can hold more words than its blanks allow; so where the sum is right, each holds as many.
    return values.reshape(rows, columns) if values is not None and len(values) == rows * columns else None


def word_count(text: bytes) -> int:
    """Count the words of `text`: stretches of bytes above the space."""
    inked = np.frombuffer(text, dtype=np.uint8) > 32
    return int(np.count_nonzero(inked[1:] > inked[:-1])) + int(inked[:1].sum())


def _scan_decimals(text: bytes) -> Floats | None:
    """Read words that each are digits with one point among them, as whole numbers and powers of ten; or None.

    Up to 2**53 and 10**22 both are exact in a double, so one division rounds correctly (Clinger, How to read
    floating point numbers accurately, PLDI 1990), and whole numbers are scanned three times as fast.
    """
    if b"e" in text or b"E" in text:
        return None
    letters = np.frombuffer(text, dtype=np.uint8)
    inked = letters > 32
    ends = np.flatnonzero(inked[:-1] > inked[1:]) + 1
    points = np.flatnonzero(letters == _POINT)
    signs = (letters[1:] == _MINUS) | (letters[1:] == _PLUS)
    if len(points) == 0 or len(points) != len(ends) or (signs & inked[:-1]).any():
        return None
    decimals = ends - points - 1
    if (points[1:] < ends[:-1]).any() or decimals.min() < 0 or decimals.max() >= len(_POWERS):
        return None
    values = _scan(text.translate(None, b"."), np.int64)
    if values is None or len(values) != len(ends) or values.max() > 2**53 or values.min() < -(2**53):
        return None
    return np.asarray(values / _POWERS[decimals])


def _scan(text: bytes, kind: type[np.generic]) -> NDArray[Any] | None:
    if text.isspace():  # numpy would make a zero of it
        return np.zeros(0, dtype=kind)
    with warnings.catch_warnings():
        # Before numpy 2.3 text that is no number gives this warning, since then a ValueError.
        warnings.simplefilter("error", DeprecationWarning)
        try:
            return np.fromstring(text, dtype=kind, sep=" ")
        except (ValueError, DeprecationWarning):
            return None
