"""Whether a window could open. Imports nothing of Qt: a terminal without a screen must not load it."""

import os
import sys


def no_screen() -> str:
    """Say why no window can open and what to do instead; blank where one can."""
    offscreen = os.environ.get("QT_QPA_PLATFORM", "")
    if sys.platform in ("win32", "darwin") or offscreen:
        return ""
    if os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"):
        return ""
    return (
        "The window was asked for, but there is no display here; "
        "finish sculpts with `holdwright replay RECIPE SCULPT --out DIR`, or see `holdwright --help`."
    )
