"""Runs every benchmark and prints its table: ``python3 tests/run.py --bench [NAME ...]``.

NAME picks benchmarks by their file's name without ``bench_``. Figures are ratios beside bare libraries in the
same run; nothing here passes or fails.
"""

import importlib
import sys
from pathlib import Path

FOLDER = Path(__file__).resolve().parent


def main(names: list[str]) -> int:
    """Run the benchmarks asked for, or all."""
    sys.path[:0] = [str(FOLDER), str(FOLDER.parent), str(FOLDER.parent.parent / "app")]
    there = sorted(path.stem.removeprefix("bench_") for path in FOLDER.glob("bench_*.py"))
    unknown = [name for name in names if name not in there]
    if unknown:
        print(f"There is no benchmark {', '.join(unknown)}; there are: {', '.join(there)}.")
        return 2
    for name in names or there:
        print(f"\n# {name}\n", flush=True)
        sys.argv = [name]  # a benchmark run alone reads options of its own
        importlib.import_module(f"bench_{name}").main()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
