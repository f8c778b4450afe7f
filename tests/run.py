#!/usr/bin/env python3
"""Set up and run everything that must hold: ``python3 tests/run.py``.

Lint, types, import contracts and the tests. ``--bench`` runs the benchmarks instead and prints their tables;
other arguments go to pytest (and then only the tests run): ``python3 tests/run.py -k trim``.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "app"))

import start  # noqa: E402  stands in app/, which is on the path from here on only

TABLES = ("bd_warehouse==0.4.0", "cq-queryabolt==0.1.2", "bd_materials==0.2.5", "py-materials==3.10.0")
"""Packages that carry tables of fasteners and materials; tests skip where they cannot be had."""


def run(title: str, command: list[str]) -> bool:
    """Run one command in the project's folder and tell whether it went well."""
    print(f"\n=== {title}", flush=True)
    begun = time.perf_counter()
    good = subprocess.run(command, cwd=ROOT, check=False, env=off_screen()).returncode == 0
    print(f"--- {title}: {'passed' if good else 'FAILED'} in {time.perf_counter() - begun:.0f} s", flush=True)
    return good


def off_screen() -> dict[str, str]:
    """Give an environment without a display where virtual screens can be had.

    Each test process then starts a screen of its own: on a shared one, windows take the keyboard from
    each other. Byte code is kept, as each of the hundreds of processes that tests start would else compile
    the program anew, a second each.
    """
    environment = dict(os.environ)
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    if shutil.which("Xvfb") is not None:
        environment.pop("DISPLAY", None)
        environment.pop("WAYLAND_DISPLAY", None)
    elif not start.has_display():
        print("No display and no Xvfb: tests that need a window will be skipped.", flush=True)
    return environment


def on_screen(command: list[str]) -> list[str]:
    """Put a command on a virtual screen where one can be had."""
    if shutil.which("xvfb-run") is None:
        return command
    return ["xvfb-run", "-a", "-s", "-screen 0 1600x1200x24", *command]


def add_tables(python: str) -> None:
    """Install the packages whose tables ours are checked against: their files alone."""
    probe = "from importlib.metadata import version; import sys; [version(name) for name in sys.argv[1:]]"
    met = [python, "-c", probe, *(name.partition("==")[0] for name in TABLES)]
    if subprocess.run(met, check=False, capture_output=True).returncode:
        subprocess.run([python, "-m", "pip", "install", "--quiet", "--no-deps", *TABLES], check=False)


def main() -> int:
    """Run what was asked for; 0 when all of it passed."""
    python = str(start.set_up("dev"))
    add_tables(python)
    given = sys.argv[1:]
    if given[:1] == ["--bench"]:
        return 0 if run("benchmarks", on_screen([python, "tests/bench/run_all.py", *given[1:]])) else 1
    pytest = [
        python,
        "-m",
        "pytest",
        # Tests of a module stay together, as they share what they look at, until one process is done.
        *(given or ["-n", str(min(os.cpu_count() or 1, 4)), "--dist", "worksteal", "-q", "--reruns", "2"]),
    ]
    checks = {"tests": pytest}
    if not given:
        checks = {
            "lint": [python, "-m", "ruff", "check", "--no-cache", "."],
            "format": [python, "-m", "ruff", "format", "--no-cache", "--check", "."],
            "types": [python, "-m", "mypy"],
            "import contracts": [str(Path(python).parent / "lint-imports"), "--no-cache"],
            **checks,
        }
    failed = [title for title, command in checks.items() if not run(title, command)]
    print(f"\nFailed: {', '.join(failed)}" if failed else "\nAll passed.", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
