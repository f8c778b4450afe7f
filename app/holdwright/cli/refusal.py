"""What a command about one sculpt prints when it is refused."""

import argparse
import contextlib
from collections.abc import Iterator
from pathlib import Path

from holdwright.cli.error_output import sentence_of
from holdwright.cli.text_format import json_text
from holdwright.errors import Cancelled


@contextlib.contextmanager
def refusals_in_json(arguments: argparse.Namespace) -> Iterator[None]:
    """Print an error as JSON too where JSON was asked for, with its sentence under ``refused``.

    Parameters
    ----------
    arguments
        With `json`, `recipe` and `sculpt`.

    Raises
    ------
    Exception
        The error.
    """
    try:
        yield
    except (Cancelled, BrokenPipeError):
        raise
    except Exception as error:
        if arguments.json:
            told = {"sculpt": arguments.sculpt.name, "recipe": Path(arguments.recipe).stem}
            print(json_text({**told, "refused": sentence_of(error)[0], "findings": []}))
        raise
