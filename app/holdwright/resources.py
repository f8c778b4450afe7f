"""Where the data that ships with Holdwright lies."""

import os
import sys
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def resource_folder() -> Path:
    """Give the folder of tables, recipes and icons: inside an installed package, else beside `app`."""
    return _beside_or_inside("_resources", "resources")


def sample_folder() -> Path:
    """Give the folder of sample sculpts: inside an installed package, else beside `app`."""
    return _beside_or_inside("_sample_data", "sample_data")


def _beside_or_inside(inside: str, beside: str) -> Path:
    packed = _PACKAGE / inside
    return packed if packed.is_dir() else _PACKAGE.parent.parent / beside


def state_folder() -> Path | None:
    """Give this person's folder for what must outlive a killed program, on this machine; None without a home.

    By the XDG base directory specification on Linux, and the systems' own conventions elsewhere.
    """
    try:
        if sys.platform == "win32":
            base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
        elif sys.platform == "darwin":
            base = Path.home() / "Library" / "Application Support"
        else:
            named = Path(os.environ.get("XDG_STATE_HOME", ""))
            base = named if named.is_absolute() else Path.home() / ".local" / "state"
    except RuntimeError:
        return None
    return base / "holdwright"
