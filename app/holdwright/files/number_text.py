"""Writes arrays of numbers as text, a row at a time, fast."""

from collections.abc import Iterator
from typing import Any, Final

from numpy.typing import NDArray

FLOAT: Final = "%.9g"
"""Nine significant digits bring every single-precision number back bit by bit (IEEE 754-2019, 5.12.2)."""

_ROWS = 1 << 14


def rows_text(template: str, rows: NDArray[Any]) -> Iterator[bytes]:
    """Fill a template once for each row.

    Parameters
    ----------
    template
        Takes as many values as a row has, such as ``v %.9g %.9g %.9g`` and a line's end; ASCII.
    rows
        (n, k) numbers.
    """
    whole = template * _ROWS
    for first in range(0, len(rows), _ROWS):
        part = rows[first : first + _ROWS]
        text = whole if len(part) == _ROWS else template * len(part)
        yield (text % tuple(part.ravel().tolist())).encode("ascii")
