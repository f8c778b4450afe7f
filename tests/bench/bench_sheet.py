"""A work sheet alone, and an export with one against the same export without, in seconds and as a ratio."""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import finished
from holdwright.export.job import Job, export
from holdwright.export.options import ExportOptions
from holdwright.export.parts import finished_parts
from holdwright.export.report_writing import print_figures
from holdwright.export.sheet_writing import sheet_bytes
from holdwright.sheet.choice import SheetChoice

LIMIT, SHARE, MORE = 3.0, 1.3, 3.0
SEGMENTS = (150, 660, 1000)


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Give seconds by the clock and of processor time."""
    clock, begin = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - clock, time.process_time() - begin


def job(segments: int) -> Job:
    """A hold of many triangles, in shell and core."""
    return finished.job(parts=finished.split(finished.bored_boulder(segments)))


def main() -> None:
    """Print a line for each size; what is loaded once is loaded before."""
    with tempfile.TemporaryDirectory() as folder:
        export(finished.job(), Path(folder), options=ExportOptions(sheet=SheetChoice()))
        for segments in SEGMENTS:
            compare(job(segments), Path(folder))


def compare(made: Job, folder: Path) -> None:
    """Print what a sheet takes alone, and what it adds to an export."""
    parts = finished_parts(made.replay.hold, made.recipe.print)
    figures = print_figures(made, parts.allowances)
    alone = timed(lambda: sheet_bytes(made, parts, figures, SheetChoice()))
    bare = timed(lambda: export(made, folder))
    both = timed(lambda: export(made, folder, options=ExportOptions(sheet=SheetChoice())))
    count = sum(solid.triangle_count for solid in made.replay.hold.solids.values())
    share = both[1] / (SHARE * bare[1] + MORE)
    print(
        f"{count:7d} triangles: sheet {alone[0]:.2f} s, CPU {alone[1]:.2f} (limit {LIMIT:g}); "
        f"export {bare[0]:.2f}, CPU {bare[1]:.2f}; with sheet {both[0]:.2f}, CPU {both[1]:.2f}, "
        f"{share:.2f} of {SHARE:g} times and {MORE:g} s (limit 1)"
    )


if __name__ == "__main__":
    main()
