"""Where ``holdwright`` begins: with a command it works in the terminal, else it opens the window."""

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from holdwright.cli.commands import COMMANDS
from holdwright.cli.main import main
from holdwright.loading import UNUSED, begin_loading, end_loading, load_lazily


def begin(argv: Sequence[str] | None = None) -> int:
    """Run a command, or open the window on the file given, and give the exit code."""
    begin_loading()
    words = list(sys.argv[1:] if argv is None else argv)
    if words and not _is_file(words):
        try:
            return main(words)
        finally:
            end_loading()
    missing = no_screen()
    if missing:
        sys.stderr.write(f"holdwright: {missing}\n")
        return 2
    load_lazily(*UNUSED)
    from holdwright.gui.application import run

    return run(Path(words[0]) if words else None)


def no_screen() -> str:
    """Say why no window can open and what to do instead; blank where one can. Loads nothing of Qt."""
    offscreen = os.environ.get("QT_QPA_PLATFORM", "")
    if sys.platform in ("win32", "darwin") or offscreen:
        return ""
    if os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"):
        return ""
    return (
        "The window was asked for, but there is no display here; "
        "finish sculpts with `holdwright replay RECIPE SCULPT --out DIR`, or see `holdwright --help`."
    )


def _is_file(words: Sequence[str]) -> bool:
    """Tell whether what was asked for is a file to open: there already, or named like one."""
    if len(words) > 1 or words[0].startswith("-") or words[0] in COMMANDS:
        return False
    path = Path(words[0])
    try:
        return bool(path.suffix) or path.exists()
    except OSError:  # too long for a file's name
        return False
