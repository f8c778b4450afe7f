"""Telling a person what went wrong: one sentence, and a code for the program that called."""

import os
import sys
import traceback
from typing import Final

from holdwright.errors import Cancelled, GeometryError, HoldwrightError, shortened
from holdwright.printable import printable

OWN_FAULT: Final = 70


def print_error(error: BaseException, about: str = "") -> int:
    """Print an error as one sentence and give its exit code.

    Parameters
    ----------
    about
        Put before the sentence where it is not clear which of several files is meant.
    """
    sentence, code = sentence_of(error)
    if code == OWN_FAULT and debugging():
        traceback.print_exception(error)
    print("holdwright:", shortened(f"{printable(about)}: {sentence}" if about else sentence), file=sys.stderr)
    return code


def debugging() -> bool:
    """Tell whether the user wants to see more than a sentence of a fault of the program."""
    return os.environ.get("HOLDWRIGHT_DEBUG") == "1"


def sentence_of(error: BaseException) -> tuple[str, int]:
    """Give an error as one sentence, and its exit code."""
    if isinstance(error, KeyboardInterrupt):
        return "Interrupted; files that were not finished were not written.", Cancelled.exit_code
    if isinstance(error, HoldwrightError):
        return str(error), error.exit_code
    if isinstance(error, MemoryError):
        text = "There is not enough memory for this sculpt; close other programs, or simplify the sculpt."
        return text, GeometryError.exit_code
    if isinstance(error, OSError):
        return (
            f"The system reports: {printable(str(error))}; check the path and its permissions.",
            HoldwrightError.exit_code,
        )
    return (
        f"This is a fault of the program, not of your files ({type(error).__name__}: {error}); please report "
        "it, with what HOLDWRIGHT_DEBUG=1 prints.",
        OWN_FAULT,
    )
