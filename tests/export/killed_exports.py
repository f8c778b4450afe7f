"""An export into a folder that has files already, killed on its way."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

import holdwright
from holdwright.export.staging import staged

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="links, owners and SIGKILL are of POSIX")
NAMES = ("a.stl", "b.stl", "c.3mf")
OLD = {"a.stl": "old a", "b.stl": "old b"}  # c.3mf has no predecessor
NEW = {name: f"new {name}" for name in NAMES}

KILLED = """
import os, signal, sys
from pathlib import Path
from holdwright.export.staging import staged

left, moving, replace = int(sys.argv[2]), sys.argv[3], os.replace

def counted(call):
    def counting(*given, **named):
        global left
        if moving and not (call is replace and "/new/" in str(given[0])):
            return call(*given, **named)
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        left -= 1
        return call(*given, **named)
    return counting

for name in ("fsync", "replace", "rename", "link", "mkdir", "unlink", "rmdir"):
    setattr(os, name, counted(getattr(os, name)))
with staged(Path(sys.argv[1])) as stage:
    for name in ("a.stl", "b.stl", "c.3mf"):
        (stage / name).write_text(f"new {name}")
"""


def contents(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir() if not path.name.startswith(".")}


def hidden(folder: Path) -> list[Path]:
    return [path for path in folder.iterdir() if path.name.startswith(".")]


def state(folder: Path) -> Path:
    return folder.parent / "state" / "holdwright" / "exports"


def stage_new(folder: Path) -> None:
    with staged(folder) as stage:
        for name, text in NEW.items():
            (stage / name).write_text(text)


def killed_at(folder: Path, point: int, *, moving: bool = False) -> int:
    source = Path(holdwright.__file__).parent.parent
    program = [sys.executable, "-S", "-c", KILLED, str(folder), str(point), "moving" if moving else ""]
    environment = {"PYTHONPATH": str(source), "XDG_STATE_HOME": os.environ["XDG_STATE_HOME"]}
    return subprocess.run(program, env=environment, check=False).returncode


def killed_while_moving(folder: Path) -> Path:
    """Kill an export when its first file has moved, and give its stage."""
    assert killed_at(folder, 1, moving=True) == -9
    assert contents(folder)["a.stl"] == "new a.stl"
    assert contents(folder)["b.stl"] == "old b"
    return hidden(folder)[0]
