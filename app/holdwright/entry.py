"""Where ``holdwright`` begins: with a command it works in the terminal, else it opens the window."""

import sys
from collections.abc import Sequence
from pathlib import Path

from holdwright.cli.main import COMMANDS, main
from holdwright.gui.screen import no_screen


def begin(argv: Sequence[str] | None = None) -> int:
    """Run a command, or open the window on the file given, and give the exit code."""
    words = list(sys.argv[1:] if argv is None else argv)
    if words and (words[0] in COMMANDS or words[0].startswith("-") or len(words) > 1):
        return main(words)
    missing = no_screen()
    if missing:
        sys.stderr.write(f"holdwright: {missing}\n")
        return 2
    from holdwright.gui.application import run

    return run(Path(words[0]) if words else None)
