"""Telling a person what went wrong: one sentence, and a code for the program that called."""

import os
import sys
import traceback

from holdwright.errors import OWN_FAULT, sentence_of, shortened
from holdwright.printable import printable


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
