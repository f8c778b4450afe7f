"""Where ``holdwright`` begins: with a command it works in the terminal, else it opens the window."""

import gc
import sys
from collections.abc import Sequence
from pathlib import Path

from holdwright.cli.main import COMMANDS, main
from holdwright.gui.document.lazy_import import put_off
from holdwright.gui.screen import no_screen


def begin(argv: Sequence[str] | None = None) -> int:
    """Run a command, or open the window on the file given, and give the exit code."""
    words = list(sys.argv[1:] if argv is None else argv)
    if words and not _is_file(words):
        return main(words)
    missing = no_screen()
    if missing:
        sys.stderr.write(f"holdwright: {missing}\n")
        return 2
    # Loading makes no garbage, and looking for it takes a tenth of the time; `run` has it looked for again.
    gc.disable()
    # A fifth of a second's loading, for colour maps that are not ours.
    put_off("matplotlib.pyplot")
    from holdwright.gui.application import run

    return run(Path(words[0]) if words else None)


def _is_file(words: Sequence[str]) -> bool:
    """Tell whether what was asked for is a file to open: there already, or named like one."""
    if len(words) > 1 or words[0].startswith("-") or words[0] in COMMANDS:
        return False
    path = Path(words[0])
    try:
        return bool(path.suffix) or path.exists()
    except OSError:  # too long for a file's name
        return False
