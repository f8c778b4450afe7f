"""The command ``holdwright``. Commands import what they need when they run, so that help is there at once."""

import argparse
import codecs
import io
import os
import sys
from collections.abc import Sequence
from typing import Any, Final, NoReturn

from holdwright import __version__
from holdwright.cli.commands import COMMANDS
from holdwright.cli.error_output import print_error
from holdwright.cli.running import run
from holdwright.errors import shortened

_UNSHOWN: Final = "holdwright-unshown"
"""What the streams do with what they cannot show, by its name among Python's own ways."""

_DESCRIPTION = """\
From a rough sculpt to a finished climbing hold: one watertight solid, turned
to the wall, scaled, trimmed flat, blunted, bored, split into shell and core,
and written for the printer.
"""

_EPILOG = """\
exit codes:
  0  done, with findings or without      4  a step cannot give a solid
  2  wrong usage, recipe or folder       5  a finding is an error (--strict)
  3  a sculpt was refused              130  interrupted
With several sculpts the highest code is returned. 4 also stands for too much time
or memory, 70 for a fault of the program.

Findings are estimates from the shape and from tables. They are not a test to
any standard. Inspect a hold before use, re-torque its bolt, retire it when in
doubt. The wall's owner, local codes and licensed practice have the last word.
"""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code."""
    _ready_streams()
    code = _run(argv)
    try:
        sys.stdout.flush()
    except OSError as error:
        # What is still to be printed goes nowhere, so that it does not fail once more on the way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return code if code or isinstance(error, BrokenPipeError) else print_error(error)
    return code


def _ready_streams() -> None:
    """Have streams where the system gave none, and print any file's name, whatever the terminal can show."""
    if sys.stdout is None:
        sys.stdout = os.fdopen(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8")
    if sys.stderr is None:
        sys.stderr = os.fdopen(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8")
    codecs.register_error(_UNSHOWN, _unshown)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=_UNSHOWN)


def _unshown(error: UnicodeError) -> tuple[str | bytes, int]:
    """Write a byte of a name that is no letter as a question mark, a letter unknown here by its number."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    letter = error.object[error.start]
    if "\ud800" <= letter <= "\udfff":
        return "?", error.start + 1
    return letter.encode("ascii", "backslashreplace"), error.start + 1


def _run(argv: Sequence[str] | None) -> int:
    try:
        return run(_parser().parse_args(argv))
    except SystemExit as leaving:  # argparse has said why
        return leaving.code if isinstance(leaving.code, int) else 0
    except BrokenPipeError:  # who reads our output has seen enough
        return 0
    except (Exception, KeyboardInterrupt) as error:  # noqa: BLE001  nothing else reports it
        return print_error(error)


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """Refuse the arguments in a sentence that does not repeat them at any length."""
        super().error(shortened(message))

    def _get_values(self, action: argparse.Action, words: list[str]) -> Any:
        if words == ["--"] and action.option_strings:  # which argparse drops, and gives an empty list
            raise argparse.ArgumentError(action, "expected one argument")
        return super()._get_values(action, words)


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="holdwright",
        description=_DESCRIPTION,
        usage="%(prog)s [FILE]           open the window, on a sculpt or a recipe\n"
        "       %(prog)s COMMAND ...      work in the terminal",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"holdwright {__version__}")
    commands = parser.add_subparsers(prog="holdwright", title="commands", metavar="COMMAND", required=True)
    for name, command in COMMANDS.items():
        command.add_to(commands, name)
    return parser
