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

from holdwright.geometry.sculpt import Floats, Indices

_NUMBER = re.compile(rb"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_NUMBER_LETTERS = b"0123456789.+-eE"


def number(word: bytes) -> float:
    """Give the value of a decimal number, or NaN for any other word."""
    return float(word) if _NUMBER.fullmatch(word) else float("nan")


def scan_floats(text: bytes) -> Floats | None:
    """Read all words of `text` as (n,) float64; None unless each of them is one number."""
    values = _scan(text, np.float64)
    return values if values is not None and len(values) == word_count(text) else None


def scan_integers(text: bytes) -> Indices | None:
    """Read `text` as (n,) int64 up to its end; None when something else stands in it.

    Two integers may share a word ("1-2"): the caller checks the shape of the lines.
    """
    return _scan(text, np.int64)


def scan_rows(text: bytes, keyword: bytes = b"") -> Floats | None:
    """Read lines of equally many numbers as (rows, columns) float64.

    Parameters
    ----------
    text
        Lines of numbers parted by single spaces, each ended by a newline, none empty.
    keyword
        A single letter that begins every line and is no part of a number; empty for none.

    Returns
    -------
    The numbers, or None when the lines are not all of this one shape.
    """
    shape = text.translate(None, _NUMBER_LETTERS)
    line = shape[: shape.find(b"\n") + 1]
    rows = len(shape) // len(line) if line else 0
    columns = line.count(b" ") + (0 if keyword else 1)
    if (
        columns == 0
        or line != keyword + b" " * (len(line) - 1 - len(keyword)) + b"\n"
        or shape != line * rows
    ):
        return None
    values = scan_floats(text.translate(None, keyword))
    return values.reshape(rows, columns) if values is not None and len(values) == rows * columns else None


def word_count(text: bytes) -> int:
    """Count the words of `text`: stretches of bytes above the space."""
    inked = np.frombuffer(text, dtype=np.uint8) > 32
    return int(np.count_nonzero(inked[1:] > inked[:-1])) + int(inked[:1].sum())


def _scan(text: bytes, kind: type[np.generic]) -> NDArray[Any] | None:
    with warnings.catch_warnings():
        # Before numpy 2.3 text that is no number gives this warning, since then a ValueError.
        warnings.simplefilter("error", DeprecationWarning)
        try:
            return np.fromstring(text, dtype=kind, sep=" ")
        except (ValueError, DeprecationWarning):
            return None
