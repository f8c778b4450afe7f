"""Tries many random recipes on the samples: ``python tests/bench/try_recipes.py --count 500 --out DIR``.

Each recipe that gives what must not be is written into DIR beside what was met, as
``holdwright replay FILE SAMPLE --out ...`` takes it; exits with 1 when there is one. What must hold stands in
`random_recipes`.
"""

import argparse
import re
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from hypothesis import HealthCheck, Phase, given, seed, settings

from holdwright.pipeline.recipes.recipe_file import recipe_text
from holdwright.pipeline.replaying.cache import Cache
from random_recipes import Outcome, Tried, outcome_of, tried_recipes


def kept(tried: Tried, outcome: Outcome, number: int, folder: Path) -> Path:
    """Write a failing recipe, and what was met beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    what = re.sub(r"\W+", "-", outcome.problems[0][0])
    path = folder / f"{number:04}-{what}-{Path(tried.name).stem}.json"
    path.write_text(recipe_text(tried.recipe), "utf-8")
    told = "\n".join(f"{name}: {met}" for name, met in outcome.problems)
    path.with_suffix(".txt").write_text(f"{tried.name}, {outcome.kind}\n{told}\n", "utf-8")
    return path


def main() -> int:
    """Try them and count what became of them."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, default=Path("failing-recipes"))
    given_options = parser.parse_args()
    became: Counter[str] = Counter()
    problems: Counter[str] = Counter()
    slowest = (0.0, "")
    cache = Cache(800_000_000)

    @seed(given_options.seed)
    @settings(
        max_examples=given_options.count,
        phases=[Phase.generate],
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(tried_recipes())
    def attempt(tried: Tried) -> None:
        nonlocal slowest
        start = time.monotonic()
        with tempfile.TemporaryDirectory() as folder:
            outcome = outcome_of(tried, Path(folder), cache)
        seconds = time.monotonic() - start
        slowest = max(slowest, (seconds, outcome.kind))
        became[outcome.kind] += 1
        problems.update({name for name, _ in outcome.problems})
        if outcome.problems:
            path = kept(tried, outcome, became.total(), given_options.out)
            print(f"{path.name}: {outcome.problems[0]}", flush=True)

    attempt()
    print(
        f"{became.total()} recipes: {dict(became.most_common())}; slowest {slowest[0]:.1f} s ({slowest[1]})"
    )
    print(f"problems: {dict(problems.most_common()) or 'none'}")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
