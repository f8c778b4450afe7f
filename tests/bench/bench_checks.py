"""All checks of a print on 150k triangles, and slices of a 120 mm hold at 0.2 mm, in seconds of processor."""

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from manifold3d import Manifold

from checks.printed import printed
from holdwright.checks import CHECKS, run_checks
from holdwright.geometry.layers.layer_stack import LayerRule, slices
from holdwright.geometry.mesh.solid import Solid
from shapes import boulder

LIMIT, SLICES_LIMIT = 3.0, 2.0


def split_boulder() -> tuple[Solid, Solid]:
    """Shell and core of a boulder 120 mm across, about 150k triangles together."""
    whole = boulder(51, 0.3, 1, 624).kernel.translate((0, 0, 30)).trim_by_plane((0, 0, 1), 0)
    core, shell = whole.split(Manifold.cylinder(40.0, 25.0, 15.0, 128))
    return Solid.checked(shell), Solid.checked(core)


def main() -> None:
    """Print a line for each check, then the sums."""
    shell, core = split_boulder()
    print(f"{shell.triangle_count + core.triangle_count} triangles, {max(shell.size[:2]):.0f} mm across")
    hold = printed(shell, core)
    before = begin = time.process_time()
    for check, found in run_checks(hold):
        now = time.process_time()
        print(f"  {check.title:<22} {now - before:6.2f} s   {len(found.findings)} findings")
        before = now
    print(f"  all {len(CHECKS)} checks          {before - begin:6.2f} s   limit {LIMIT:g}")
    rule = LayerRule(0.2, 0.8, 2, 4, 4)
    begin = time.process_time()
    count = len(slices(shell, rule)[0])
    print(f"  {count} slices at 0.2 mm    {time.process_time() - begin:6.2f} s   limit {SLICES_LIMIT:g}")


if __name__ == "__main__":
    main()
