"""Times and prices of a print as text."""

from typing import Final

from holdwright.printing.print_parameters import PrintParameters
from holdwright.ranges import two_digits

LONG: Final = 5400.0
"""Times from this on, s, are written in hours."""


def time_text(seconds: float) -> str:
    """Write a time to what it is worth."""
    if seconds < LONG / 60.0:
        return f"{seconds:.0f} s"
    return f"{two_digits(seconds / 60.0)} min" if seconds < LONG else f"{two_digits(seconds / 3600.0)} h"


def currency(printed: PrintParameters) -> str:
    """Name the currency where it is that of the tables; blank where prices were entered."""
    return "euro" if printed.shell_price is None and printed.core_price is None else ""
