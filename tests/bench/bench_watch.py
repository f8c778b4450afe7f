"""A sculpt that comes into a watched folder: how much later than by a replay its last file is written.

    python tests/bench/bench_watch.py [--triangles N] [--rounds N]

From the last write of the sculpt's file, put in its place whole or written in pieces, to the last file of the
hold, less what `holdwright replay` of the same sculpt and formats takes in the same run (limit 1 s).
"""

import argparse
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT / "app"), str(ROOT / "tests")]

from bench.bench_set import environment, timed  # noqa: E402
from bench.rough_sculpt import rough_sculpt, write_sculpt  # noqa: E402
from holdwright.pipeline.recipes.recipe_file import save_recipe  # noqa: E402
from recipes import plain_starter  # noqa: E402

PIECES = 5
PAUSE = 0.15
"""Seconds between pieces: a slow program or network."""


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description="Time a watched folder beside bare replays.")
    asked.add_argument("--triangles", type=int, default=100_000)
    asked.add_argument("--rounds", type=int, default=3)
    arguments = asked.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        watched, out, recipe = folder / "in", folder / "out", folder / "plain.json"
        watched.mkdir()
        save_recipe(plain_starter(), recipe)
        words = ["watch", str(recipe), str(watched), "--out", str(out)]
        process = subprocess.Popen(
            [sys.executable, "-P", "-m", "holdwright", *words],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            env=environment(),
        )
        assert process.stdout is not None
        while not process.stdout.readline().startswith("Watching"):
            pass
        later: dict[str, list[float]] = {"first": [], "whole": [], "in pieces": []}
        for number in range(2 * arguments.rounds + 1):
            path = folder / f"rough-{number}.obj"
            write_sculpt(path, rough_sculpt(arguments.triangles, number))
            bare, _ = timed("replay", str(recipe), str(path), "--out", str(folder / "bare"))
            way = "first" if number == 0 else "in pieces" if number % 2 else "whole"
            written = _come(path, watched / path.name, PIECES if way == "in pieces" else 1)
            assert process.stdout.readline().startswith(f"{path.stem}: finished")
            last = max(each.stat().st_mtime for each in (out / path.stem).iterdir())
            later[way].append(last - written - bare)
        process.send_signal(signal.SIGINT)
        process.wait()
    print(f"{arguments.triangles:,} triangles; seconds from the last write to the last file beyond a replay")
    for way, seconds in later.items():
        told = ", ".join(f"{each:+.2f}" for each in seconds)
        print(f"{way}: {statistics.median(seconds):+.2f} (limit 1); {told}")


def _come(source: Path, target: Path, pieces: int) -> float:
    """Have a file come into the folder, whole or in pieces; give when its last bytes were written."""
    content = source.read_bytes()
    if pieces == 1:
        part = target.with_name(f".{target.name}.part")
        part.write_bytes(content)
        part.replace(target)
        return time.time()
    with target.open("wb") as stream:
        for number in range(pieces):
            if number:
                time.sleep(PAUSE)
            share = len(content) * number // pieces, len(content) * (number + 1) // pieces
            stream.write(content[slice(*share)])
            stream.flush()
    return time.time()


if __name__ == "__main__":
    main()
