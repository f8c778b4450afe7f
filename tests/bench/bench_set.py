"""A set of 24 sculpts of 100k triangles: two jobs beside one, a second run, and what a set adds to a replay.

    python tests/bench/bench_set.py [--holds N] [--triangles N]

Wall-clock seconds of the same command in the same run. A bare replay is `holdwright replay` of all the same
sculpts with the same formats, in one process; a set's plates and contact sheet are told apart.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT / "app"), str(ROOT / "tests")]

from bench.rough_sculpt import rough_sculpt, write_sculpt  # noqa: E402
from holdwright.pipeline.recipes.recipe_file import save_recipe  # noqa: E402
from recipes import plain_starter  # noqa: E402


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description="Time a set beside bare replays.")
    asked.add_argument("--holds", type=int, default=24)
    asked.add_argument("--triangles", type=int, default=100_000)
    arguments = asked.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        names = [f"rough-{number}.obj" for number in range(arguments.holds)]
        for seed, each in enumerate(names):
            write_sculpt(folder / each, rough_sculpt(arguments.triangles, seed))
        save_recipe(plain_starter(), folder / "plain.json")
        holds = [{"sculpt": each, "recipe": "plain.json"} for each in names]
        (folder / "set.json").write_text(json.dumps({"format": 1, "holds": holds}), "utf-8")
        sculpts = [str(folder / each) for each in names]
        bare, bare_used = timed("replay", str(folder / "plain.json"), *sculpts, "--out", str(folder / "bare"))
        one, one_used = timed("set", str(folder / "set.json"), "--out", str(folder / "one"), "--jobs", "1")
        two, two_used = timed("set", str(folder / "set.json"), "--out", str(folder / "two"), "--jobs", "2")
        again, _ = timed("set", str(folder / "set.json"), "--out", str(folder / "two"))
        told = json.loads((folder / "two" / "set.report.json").read_text("utf-8"))
        alone = json.loads((folder / "one" / "set.report.json").read_text("utf-8"))
        made = sum(hold["seconds"] for hold in alone["holds"])
        weight = sum(path.stat().st_size for path in (folder / "two").rglob("*") if path.is_file())
    print(f"{arguments.holds} holds of {arguments.triangles:,} triangles, {told['statuses']}")
    print(f"bare replay {bare:.1f} s; one job {one:.1f} s, of which holds {made:.1f}; two jobs {two:.1f} s")
    used = f"{bare_used:.1f}, {one_used:.1f} and {two_used:.1f} s"
    print(f"of processor time, where other work goes on: {used}")
    print(f"one job by two: {one / two:.2f} (aim 1.8)")
    print(f"second run, nothing changed: {again:.2f} s (aim 2)")
    print(f"a hold in a set by a bare replay: {made / bare:.3f} (aim 1.05); whole set: {one / bare:.3f}")
    print(f"files: {weight / 2**20 / arguments.holds:.1f} MiB a hold")


def environment() -> dict[str, str]:
    """Give what a command runs in: as installed, compiled once."""
    kept = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPATH": str(ROOT / "app")}


def timed(*words: str) -> tuple[float, float]:
    """Run a command and give its seconds, and those of processor time with all its children's."""
    begun, before = time.perf_counter(), os.times()
    done = subprocess.run(
        [sys.executable, "-P", "-m", "holdwright", *words],
        capture_output=True,
        env=environment(),
        check=False,
    )
    assert done.returncode in (0, 3, 4), done.stderr.decode()
    after = os.times()
    used = after.children_user + after.children_system - before.children_user - before.children_system
    return time.perf_counter() - begun, used


if __name__ == "__main__":
    main()
