#!/usr/bin/env python3
"""Start Holdwright from a fresh checkout: ``python3 app/start.py``.

The first run makes a virtual environment in ``.venv`` beside this folder and installs what the program needs;
later runs start at once. With a display it opens the window on the sample sculpt; without one it finishes the
same sculpt headless into ``finished/`` in the current folder.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
OLDEST = (3, 11)
SAMPLE = ROOT / "sample_data" / "hall-jug.obj"


def interpreter(folder: Path = ENVIRONMENT) -> Path:
    """Give the environment's own Python."""
    return folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def wanted(extras: str) -> str:
    """Give a mark of what is to be installed, so that a change of it installs anew."""
    text = (ROOT / "pyproject.toml").read_bytes() + extras.encode() + sys.version.encode()
    return hashlib.sha256(text).hexdigest()


def set_up(extras: str = "") -> Path:
    """Make the virtual environment where it is missing or out of date, and give its Python.

    Parameters
    ----------
    extras
        Optional dependencies to install too, such as "dev".
    """
    mark = ENVIRONMENT / f"installed{'-' + extras if extras else ''}"
    python = interpreter()
    if python.exists() and mark.exists() and mark.read_text("utf-8") == wanted(extras):
        return python
    print(f"Setting up {ENVIRONMENT} (once; some minutes and about 1 GB) ...", flush=True)
    if not python.exists():
        venv.create(ENVIRONMENT, with_pip=True, clear=ENVIRONMENT.exists())
    what = f"{ROOT}[{extras}]" if extras else str(ROOT)
    pip = [str(python), "-P", "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    if subprocess.run([*pip, "--editable", what], check=False).returncode:
        sys.exit("The packages could not be installed; read pip's words above, then run this again.")
    # Compiled now, the program opens a third of a second sooner, wherever Python may keep no such files.
    subprocess.run(
        [str(python), "-P", "-m", "compileall", "-q", str(ROOT / "app" / "holdwright")], check=False
    )
    mark.write_text(wanted(extras), "utf-8")
    return python


def has_display() -> bool:
    """Tell whether a window could open."""
    if sys.platform in ("win32", "darwin"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def main() -> int:
    """Set up, then run the main job on the sample."""
    if sys.version_info < OLDEST:
        return print(f"Holdwright needs Python {OLDEST[0]}.{OLDEST[1]} or newer; this is {sys.version}.") or 2
    python = set_up()
    if has_display():
        return subprocess.run(
            [str(python), "-P", "-m", "holdwright", *(sys.argv[1:] or [str(SAMPLE)])], check=False
        ).returncode
    out = Path.cwd() / "finished"
    print(f"No display here: finishing the sample headless into {out}", flush=True)
    job = ["replay", "starter", str(SAMPLE), "--out", str(out)]
    return subprocess.run([str(python), "-P", "-m", "holdwright", *job], check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
