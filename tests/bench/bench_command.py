"""Times the whole `holdwright replay` command beside bare kernel calls that make the same cuts, CPU seconds.

    python tests/bench/bench_command.py             the four cases, three times each
    python tests/bench/bench_command.py --profile   where the command's time goes as well

The command starts an interpreter, reads the sculpt, mends it, searches, cuts, checks and writes shell and
core; its recipe is the starter's without screws and relief, which the bare calls do not cut either. These
begin with arrays and end with volumes, and are told all that the searches found; strokes that cross
themselves they fuse as they are, overlap and all.
"""

import argparse
import cProfile
import os
import pstats
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT / "app"), str(ROOT / "tests")]

from bench.bare import bare_replay  # noqa: E402
from bench.rough_sculpt import rough_sculpt, write_sculpt  # noqa: E402
from holdwright.catalogue.catalogue import load_catalogue  # noqa: E402
from holdwright.export.job import Job, export  # noqa: E402
from holdwright.files.reading import read_sculpt  # noqa: E402
from holdwright.geometry.repair.fuse import survey  # noqa: E402
from holdwright.pipeline.recipes.recipe_file import load_recipe, save_recipe  # noqa: E402
from holdwright.pipeline.replaying.joint_verdict import joint_verdict  # noqa: E402
from holdwright.pipeline.replaying.print_checks import print_verdict  # noqa: E402
from holdwright.pipeline.replaying.replay import Replay, replay_steps  # noqa: E402
from recipes import plain_starter  # noqa: E402

CASES = ((40_000, 14, 3.0), (100_000, 10, 2.5), (400_000, 10, 1.5), (500_000, 0, 2.0))
"""Triangles, strokes that cross themselves, and the ratio aimed at."""

TIMES = 3

LOADING = (
    "from holdwright.loading import *; begin_loading(); import holdwright.cli.main;"
    "load_lazily(*UNUSED); import holdwright.cli.replay_command"
)
"""What the command's processes load."""


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description="Time the whole command beside bare kernel calls.")
    asked.add_argument("--profile", action="store_true", help="print where the time goes, case by case")
    asked.add_argument("--times", type=int, default=TIMES)
    asked.add_argument("--cases", type=int, nargs="*", default=range(len(CASES)), help="numbers, from 0")
    arguments = asked.parse_args()
    print("triangles  crossing  command s  bare s  ratio  goal  mended pieces")
    with tempfile.TemporaryDirectory() as folder:
        for number in arguments.cases:
            triangles, crossing, goal = CASES[number]
            path = Path(folder) / f"rough_{number}.obj"
            write_sculpt(path, rough_sculpt(triangles, crossing=crossing))
            save_recipe(plain_starter(), path.with_suffix(".json"))
            _print_case(path, crossing, goal, arguments.times, profile=arguments.profile)


def _print_case(path: Path, crossing: int, goal: float, times: int, *, profile: bool) -> None:
    sculpt = read_sculpt(path)
    mended = [piece.mending for piece in survey(sculpt).pieces if piece.mending is not None]
    if len(mended) != crossing:
        raise ValueError(f"{len(mended)} strokes were found to cross themselves, not {crossing}.")
    made, parts = _split(path)
    pairs = []
    _command(path)  # once beforehand, so that its modules are compiled
    for _ in range(times):
        start = time.process_time()
        bare_replay(sculpt, made.hold)
        bare_seconds = time.process_time() - start
        pairs.append((_command(path), bare_seconds))
    whole, bare = (statistics.median(column) for column in zip(*pairs, strict=True))
    ratio = statistics.median(one / other for one, other in pairs)
    print(
        f"{sculpt.triangle_count:9d} {crossing:9d} {whole:10.2f} {bare:7.2f} {ratio:6.2f} {goal:5.1f}  "
        f"{len(mended)}, {sum(mending.grade == 'rebuilt' for mending in mended)} of them made anew",
        flush=True,
    )
    parts = {"start": _spent("-c", LOADING), **parts}
    print("    " + ", ".join(f"{name} {seconds:.2f}" for name, seconds in parts.items()), flush=True)
    if profile:
        measured = cProfile.Profile(time.process_time)
        measured.runcall(_split, path)
        pstats.Stats(measured).sort_stats("cumulative").print_stats(45)


def _split(path: Path) -> tuple[Replay, dict[str, float]]:
    """Do in this process what the command's child does, and give the CPU seconds of each part."""
    recipe, catalogue = load_recipe(path.with_suffix(".json")), load_catalogue()
    parts, last = dict[str, float](), time.process_time()

    def done(part: str) -> None:
        nonlocal last
        parts[part], last = time.process_time() - last, time.process_time()

    sculpt = read_sculpt(path)
    done("reading")
    results = []
    for result in replay_steps(recipe, sculpt, catalogue=catalogue):
        results.append(result)
        done(result.operation)
    joint = joint_verdict(results, recipe.joint, catalogue, printed=recipe.print)
    done("joint")
    made = Replay(tuple(results), joint, print_verdict(results[-1].hold, recipe.print, catalogue))
    done("print checks")
    export(Job(path.stem, sculpt, path, recipe, "bench", made), path.parent / "here", ["stl"])
    done("files and report")
    return made, parts


def _command(path: Path) -> float:
    """Run the command and give its CPU seconds."""
    arguments = [str(path.with_suffix(".json")), str(path), "--out", str(path.with_suffix(""))]
    return _spent("-m", "holdwright", "replay", *arguments, "--format", "stl")


def _spent(*arguments: str) -> float:
    """Run Python and give the CPU seconds of it and its children."""
    before = os.times()
    compiled = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(
        [sys.executable, *arguments],
        env={**compiled, "PYTHONPATH": str(ROOT / "app")},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode not in (0, 1):
        raise ValueError(done.stderr or done.stdout)
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


if __name__ == "__main__":
    main()
