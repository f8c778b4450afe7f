"""Kills exports at random moments and looks at what is left: ``python tests/kill_export.py [TRIALS [SEED]]``.

Half the trials end at a counted call that touches the disk, half at a moment of the clock. What is found
right after the kill must be whole files; what is found after the next start must be all old or all new files.
"""

import hashlib
import json
import os
import random
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

_ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(_ROOT / "app"), str(_ROOT / "tests")]

import finished  # noqa: E402  found beside this file
from holdwright.export.job import Job, export  # noqa: E402
from holdwright.export.staging import recover_everywhere  # noqa: E402

_CALLS = ("fsync", "replace", "rename", "link", "mkdir", "unlink", "rmdir", "open")
_FORMATS = ("stl", "3mf")


def main(trials: int, seed: int) -> dict[str, int]:
    """Kill `trials` exports; give how often old and new files were found, and how often neither."""
    chance = random.Random(seed)
    jobs = [finished.job(), finished.job(shrinkage=2.0)]
    with tempfile.TemporaryDirectory() as scratch:
        os.environ["XDG_STATE_HOME"] = str(Path(scratch) / "state")
        folder = Path(scratch) / "files"
        began = time.monotonic()
        whole = []
        for job in jobs:
            export(job, folder, _FORMATS)
            whole.append(_files(folder))
        seconds, calls = (time.monotonic() - began) / 2, _calls(jobs[0], folder)
        export(jobs[1], folder, _FORMATS)
        counts = {"old": 0, "new": 0, "broken": 0, "killed": 0, "unfinished": 0, "calls": calls}
        for trial in range(trials):
            before = whole.index(_files(folder))
            point = chance.randrange(calls) if trial % 2 else None
            counts["killed"] += _killed(jobs[1 - before], folder, point, chance.uniform(0, 1.1 * seconds))
            known = [{each[name] for each in whole} for name in whole[0]]
            halves = [
                digest for digest in _files(folder).values() if not any(digest in each for each in known)
            ]
            counts["unfinished"] += len(list(folder.glob(".holdwright-*")))
            recover_everywhere()
            after = _files(folder)
            left = [*folder.glob(".holdwright-*"), *Path(scratch, "state").rglob("*.json")]
            if halves or left or after not in whole:
                counts["broken"] += 1
                export(jobs[0], folder, _FORMATS)
            else:
                counts["new" if after == whole[1 - before] else "old"] += 1
    return counts


def _killed(job: Job, folder: Path, point: int | None, delay: float) -> bool:
    child = os.fork()
    if child == 0:
        if point is None:
            signal.signal(signal.SIGALRM, lambda *_: os.kill(os.getpid(), signal.SIGKILL))
            signal.setitimer(signal.ITIMER_REAL, max(delay, 1e-6))
        else:
            _count(lambda number: number == point and os.kill(os.getpid(), signal.SIGKILL))
        export(job, folder, _FORMATS)
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL


def _calls(job: Job, folder: Path) -> int:
    """Count how often an export touches the disk."""
    made, kept = [0], {name: getattr(os, name) for name in _CALLS}
    _count(lambda number: made.__setitem__(0, number))
    export(job, folder, _FORMATS)
    for name, call in kept.items():
        setattr(os, name, call)
    return made[0]


def _count(at_call: Callable[[int], object]) -> None:
    """Have `at_call` told the number of every call that touches the disk, before it is made."""
    made = [0]

    def counted(call: Callable[..., object]) -> Callable[..., object]:
        def counting(*given: object, **named: object) -> object:
            at_call(made[0])
            made[0] += 1
            return call(*given, **named)

        return counting

    for name in _CALLS:
        setattr(os, name, counted(getattr(os, name)))


def _files(folder: Path) -> dict[str, str]:
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.iterdir())
        if path.is_file()
    }


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    sys.stdout.write(json.dumps(main(*given, *(400, 1)[len(given) :])) + "\n")
