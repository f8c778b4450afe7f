"""Times a replay of the starter recipe beside bare kernel calls that do the same work, in one process.

    python tests/bench/bench_replay.py            all of it (some minutes)
    python tests/bench/bench_replay.py 10000 100000   these sizes only

Both sides start from a sculpt already read and end with shell and core checked and measured. The bare side
is told what the replay found: which piece is the ground block, the placement, the cut's height, every cutter.
So the ratio is what checking, measuring, placing and describing cost, searches apart. Pairs are interleaved,
and the median of their ratios is what counts; the machine's own unrest falls on both sides.
"""

import argparse
import statistics
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT / "app"), str(ROOT / "tests")]

from bench.bare import bare_bore_and_split, bare_replay  # noqa: E402
from bench.rough_sculpt import rough_sculpt, write_sculpt  # noqa: E402
from bench.timing import peak_memory, peak_of, timed  # noqa: E402
from holdwright.catalogue.catalogue import load_catalogue  # noqa: E402
from holdwright.files.reading import read_sculpt  # noqa: E402
from holdwright.geometry.mesh.sculpt import Sculpt  # noqa: E402
from holdwright.hold.feature import Bore  # noqa: E402
from holdwright.pipeline.recipes.recipe import Recipe  # noqa: E402
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe  # noqa: E402
from holdwright.pipeline.replaying.cache import Cache  # noqa: E402
from holdwright.pipeline.replaying.replay import Replay, replay  # noqa: E402

SIZES = (10_000, 100_000, 500_000, 2_000_000)
PAIRS = 7
PAIRS_AT_2M = 3
MOVES = 3
"""Times the bore is moved, for each pair of whole replays."""
LARGE = 2_000_000


@dataclass(frozen=True)
class Pair:
    """Seconds of one replay and of the bare calls beside it."""

    cuts: float
    searches: float
    bare: float

    @property
    def ratio(self) -> float:
        return self.cuts / self.bare


def main() -> None:
    """Print the tables."""
    asked = argparse.ArgumentParser(description="Time replays beside bare kernel calls.")
    asked.add_argument("sizes", nargs="*", type=int, default=SIZES, help="input triangles")
    asked.add_argument("--pairs", type=int, default=PAIRS)
    asked.add_argument("--peak", type=Path, help="replay this file once and print the peak memory in bytes")
    arguments = asked.parse_args()
    if arguments.peak:
        print(_peak_here(arguments.peak))
        return
    recipe, catalogue = load_recipe(find_recipe("starter")), load_catalogue()
    with tempfile.TemporaryDirectory() as folder:
        print("triangles  read s  searches s  cuts s  bare s  cuts/bare  searches/cuts  pairs")
        for size in arguments.sizes:
            path = Path(folder) / f"rough_{size}.obj"
            write_sculpt(path, rough_sculpt(size))
            started = time.perf_counter()
            sculpt = read_sculpt(path)
            reading = time.perf_counter() - started
            count = min(arguments.pairs, PAIRS_AT_2M) if size >= LARGE else arguments.pairs
            first = replay(recipe, sculpt, catalogue=catalogue)
            pairs = [_pair(recipe, sculpt, first) for _ in range(count)]
            _print_row(sculpt.triangle_count, reading, pairs)
            _print_steps(first)
            _print_bore_moved(recipe, sculpt, first, count)
            _print_without_block(recipe, Path(folder) / "bare.obj", size)
            if size >= LARGE:
                print(
                    f"    peak memory, all counted: {peak_of(__file__, path) / 2**30:.2f} GiB (goal under 3)"
                )


def _pair(recipe: Recipe, sculpt: Sculpt, first: Replay) -> Pair:
    catalogue = load_catalogue()
    again, seconds = timed(lambda: replay(recipe, sculpt, catalogue=catalogue))
    searches = sum(_searches(again).values())
    volumes, bare = timed(lambda: bare_replay(sculpt, first.hold))
    _must_agree(sum(volumes), again)
    return Pair(seconds - searches, searches, bare)


def _must_agree(volume: float, made: Replay) -> None:
    """Refuse to compare times of different work."""
    ours = sum(solid.volume for solid in made.hold.solids.values())
    if abs(volume - ours) > 0.01 * ours:
        raise ValueError(f"The bare calls gave {volume:.0f} mm3, the replay {ours:.0f} mm3.")


def _print_row(triangles: int, reading: float, pairs: list[Pair]) -> None:
    cuts, searches, bare = (
        statistics.median(getattr(pair, name) for pair in pairs) for name in ("cuts", "searches", "bare")
    )
    ratio = statistics.median(pair.ratio for pair in pairs)
    print(
        f"{triangles:9d} {reading:7.2f} {searches:11.2f} {cuts:7.2f} {bare:7.2f} {ratio:10.2f} "
        f"{searches / cuts:14.2f} {len(pairs):6d}",
        flush=True,
    )


def _searches(made: Replay) -> Counter[str]:
    """Give the seconds of each search, over all steps."""
    return sum((Counter(step.searches) for step in made.results), Counter())


def _print_steps(result: Replay) -> None:
    for step in result.results:
        searches = sum(step.searches.values())
        triangles = sum(solid.triangle_count for solid in step.hold.solids.values())
        told = ", ".join(f"{what} {seconds:.2f}" for what, seconds in step.searches.items())
        cuts = step.seconds - searches
        print(f"    {step.operation:18s} cuts {cuts:6.2f} s  {triangles:8d} triangles  {told}")


def _print_bore_moved(recipe: Recipe, sculpt: Sculpt, first: Replay, pairs: int) -> None:
    """Move the bore alone, a little each time, everything before it remembered."""
    catalogue, cache = load_catalogue(), Cache()
    replay(recipe, sculpt, catalogue=catalogue, cache=cache)
    bored = next(index for index, step in enumerate(first.results) if step.operation == "cut_bore")
    whole = first.results[bored - 1].hold.whole
    bore = first.hold.find(Bore)[0]
    moves = []
    for number in range(MOVES * pairs):
        changes = {"place": "at", "at": (bore.x + 0.1 * (number + 1), bore.y)}
        moved = recipe.with_parameters(first.results[bored].id, changes)
        again, seconds = timed(lambda moved=moved: replay(moved, sculpt, catalogue=catalogue, cache=cache))
        searches = sum(_searches(again).values())
        _, bare = timed(lambda again=again: bare_bore_and_split(whole, again.hold))
        moves.append((Pair(seconds - searches, searches, bare), seconds))
    ratio = statistics.median(pair.ratio for pair, _ in moves)
    in_all = statistics.median(seconds / pair.bare for pair, seconds in moves)
    print(
        f"    bore moved, rest remembered: {ratio:.2f} times bare cut and split, searches counted too "
        f"{in_all:.2f} ({statistics.median(seconds for _, seconds in moves):.3f} s)",
        flush=True,
    )


def _print_without_block(recipe: Recipe, path: Path, size: int) -> None:
    """Replay once on a sculpt whose back has to be found by its shape."""
    write_sculpt(path, rough_sculpt(size, on_block=False))
    made = replay(recipe, read_sculpt(path), catalogue=load_catalogue())
    told = ", ".join(f"{what} {seconds:.2f}" for what, seconds in _searches(made).items())
    searches = sum(_searches(made).values())
    share = searches / (sum(step.seconds for step in made.results) - searches)
    print(f"    without a ground block: searches {share:.2f} times the cuts; {told}", flush=True)


def _peak_here(path: Path) -> int:
    replay(load_recipe(find_recipe("starter")), read_sculpt(path), catalogue=load_catalogue())
    return peak_memory()


if __name__ == "__main__":
    main()
