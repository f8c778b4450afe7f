"""What the commands that write files are asked for, from their arguments."""

import argparse

from holdwright.cli.shared_arguments import FORMATS
from holdwright.errors import ParameterError
from holdwright.export.formats import chosen_formats
from holdwright.export.options import ExportOptions


def requested_options(arguments: argparse.Namespace) -> ExportOptions:
    """Give how the parts shall lie in the files, and what is written besides.

    Raises
    ------
    ParameterError
        When a brim has no sensible width.
    """
    return ExportOptions(
        arguments.pose,
        arguments.tabs,
        arguments.designer,
        arguments.licence,
        arguments.sheet,
        arguments.brim,
        arguments.keep,
        arguments.breaking,
    )


def listed_formats(text: str) -> list[str]:
    """Take a list of formats apart, and give the names of those there are.

    Raises
    ------
    ParameterError
        When one is named twice, or none between two commas.
    """
    names = [name.strip().lower() for name in text.split(",")]
    twice = next((name for name in names if names.count(name) > 1), "")
    if twice or ("" in names and len(names) > 1):
        found = f"{twice} twice" if twice else "nothing at a comma"
        raise ParameterError(
            f'"{text}" lists {found}; list each format once, separated by commas: {FORMATS}.'
        )
    return [kind.ending for kind in chosen_formats(names)]
