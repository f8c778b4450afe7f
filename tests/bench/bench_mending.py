"""What mending makes of every mesh at hand, and what it costs.

    python tests/bench/bench_mending.py                 the meshes beside the project, then the speed
    python tests/bench/bench_mending.py --finish        each finished one through the starter recipe as well
    python tests/bench/bench_mending.py --speed         the speed alone

Meshes nobody here made stand in a folder beside the project, with `corpus.json` (class, and the volume two
other libraries gave) and `hostile/expected.json` (verdict). Each is read in a process of its own, so that its
peak memory is its own and a crash is a row of the table. Seconds are the processor's. Volumes are of all
bodies together; "apart" is how far sculpt and solid are from each other, as a share of the piece's diagonal.
Below the table stands what is demanded, how many meet it, and who does not.
"""

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT / "app"), str(ROOT / "tests" / "bench"), str(ROOT / "tests")]

from mesh_demands import Row, meshes, print_summary  # noqa: E402
from rough_sculpt import Group, rough_sculpt, write_sculpt  # noqa: E402

from holdwright.cli.inspection import inspect, plain  # noqa: E402
from holdwright.errors import HoldwrightError  # noqa: E402
from holdwright.files.reading import read_sculpt  # noqa: E402
from holdwright.geometry.repair.fuse import counted_volume, fuse, survey  # noqa: E402
from holdwright.geometry.repair.grid_rebuild import rebuilt  # noqa: E402
from holdwright.progress import SILENT  # noqa: E402
from shapes import boulder  # noqa: E402

MESHES = ROOT.parent / "shared" / "meshes"
LONGEST = 180.0

FILLED = 1e-7
"""Share of the whole that shell and core together may be off it: dust that rounding leaves."""

COLUMNS = "{:<38} {:<17} {:<8} {:>8} {:>8} {:>7} {:>6} {:>6}  {}"


def main() -> None:
    """Print the tables."""
    asked = argparse.ArgumentParser(description="Mend every mesh at hand, and time it.")
    asked.add_argument("--one", type=Path, help="mend this file and print JSON")
    asked.add_argument("--finish", action="store_true", help="run the starter recipe on it as well")
    asked.add_argument("--speed", action="store_true", help="the speed alone")
    asked.add_argument("--folder", type=Path, default=MESHES, help="with corpus.json")
    arguments = asked.parse_args()
    if arguments.one:
        print(json.dumps(_mended(arguments.one, finish=arguments.finish)))
        return
    if not arguments.speed:
        _corpus(arguments.folder, finish=arguments.finish)
    _speed()


def _corpus(folder: Path, *, finish: bool) -> None:
    if not folder.is_dir():
        print("There is no folder of meshes beside the project.")
        return
    print(COLUMNS.format("file", "class", "verdict", "volume", "apart %", "pieces", "s", "MiB", ""))
    rows = []
    for mesh in meshes(folder):
        rows.append(Row(mesh, _apart(folder / mesh.name, finish=finish)))
        _print_row(rows[-1])
    print_summary(rows)


def _print_row(row: Row) -> None:
    met = row.met
    off = f"{row.off:+.2%}" if row.off is not None else ""
    figures = [
        f"{factor * met[key]:.{digits}f}" if met.get(key) is not None else ""
        for key, digits, factor in (("apart", 3, 100), ("pieces", 0, 1), ("seconds", 2, 1), ("memory", 0, 1))
    ]
    finished = f"NOT FINISHED: {met['finished']} " if met.get("finished") else ""
    errors = f"[{', '.join(met['errors'])}] " if met.get("errors") else ""
    told = (finished + errors + met["told"])[:100]
    print(COLUMNS.format(row.mesh.name, row.mesh.kind, row.verdict, off, *figures, told), flush=True)


def _apart(path: Path, *, finish: bool) -> dict[str, Any]:
    """Mend a file in a process of its own."""
    command = [sys.executable, __file__, "--one", str(path), *(["--finish"] if finish else [])]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=LONGEST, check=False)
    except subprocess.TimeoutExpired:
        return {"verdict": "HANGS", "told": f"more than {LONGEST:.0f} s"}
    if done.returncode:
        return {"verdict": "CRASHES", "told": done.stderr.strip().splitlines()[-1] if done.stderr else ""}
    answer: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return answer


def _mended(path: Path, *, finish: bool) -> dict[str, Any]:
    """Tell what `holdwright inspect --json` tells, and what it took."""
    start = time.process_time()
    told = plain(inspect(path, SILENT))
    seconds = time.process_time() - start
    pieces = told["pieces"]
    met = {
        "verdict": told["verdict"],
        "grade": told["verdict"],
        "volume": told["solid"]["volume"] if told["solid"] else None,
        "volume_mm3": told["solid"]["volume_mm3"] if told["solid"] else None,
        "closed": told["solid"]["closed"] if told["solid"] else None,
        "apart": max(
            (
                piece["deviation"] / float(np.linalg.norm(piece["size"]))
                for piece in pieces
                if piece["deviation"]
            ),
            default=0.0,
        ),
        "pieces": len(pieces),
        "seconds": seconds,
        "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "warned": any("volume" in reason for reason in told["reasons"]),
        "told": " ".join(told["reasons"]),
    }
    return met | _finished(path) if finish and told["solid"] else met


def _finished(path: Path) -> dict[str, Any]:
    """Run the starter recipe, and look at the parts that come of it as their reader would."""
    from holdwright.catalogue.catalogue import load_catalogue
    from holdwright.export.parts import written_as
    from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
    from holdwright.pipeline.replaying.replay import replay

    try:
        done = replay(load_recipe(find_recipe("starter")), read_sculpt(path), catalogue=load_catalogue())
    except HoldwrightError as error:
        return {"finished": str(error)}
    parts = dict(done.hold.solids)
    apart = sum(part.volume for part in parts.values()) / done.results[-2].hold.whole.volume - 1.0
    faults = [name for name, part in parts.items() if not written_as(part)[1].closed]
    faults += ["parts missing"] if set(parts) != {"shell", "core"} else []
    faults += [f"parts do not fill the whole, by {apart:+.1e}"] if abs(apart) > FILLED else []
    errors = [finding.code for finding in done.findings if finding.severity == "error"]
    return {"finished": ", ".join(faults), "errors": errors}


def _speed() -> None:
    print("\nspeed                              reading   apart, fused raw   mended, fused   ratio")
    with tempfile.TemporaryDirectory() as folder:
        clean = rough_sculpt(500_000, on_block=False)
        for name, groups in (("500k triangles, clean", clean), ("5 % of the pieces dirty", _dirtied(clean))):
            path = Path(folder) / "rough.obj"
            write_sculpt(path, groups)
            _print_speed(name, path, raw_too=name.endswith("clean"))
    rock = boulder(60.0, segments=448)
    start = time.perf_counter()
    made = rebuilt(rock.vertices, rock.triangles, 0.5)
    took = time.perf_counter() - start
    share = made.kernel.volume() / rock.volume - 1 if made else float("nan")
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    figures = f"{took:.1f} s, volume {share:+.3%}, {memory:.2f} GiB"
    print(f"rebuild of {rock.triangle_count} triangles at 0.5 mm: {figures}")


def _print_speed(name: str, path: Path, *, raw_too: bool) -> None:
    start = time.perf_counter()
    sculpt = read_sculpt(path)
    reading = time.perf_counter() - start
    took: dict[bool, float] = {}
    for mending in (False, True) if raw_too else (True,):
        start = time.perf_counter()
        pieces = survey(sculpt, mending=mending).pieces
        bodies = fuse([piece for piece in pieces if piece.solid is not None]).bodies
        if mending:
            counted_volume([piece for piece in pieces if piece.solid is not None])
        took[mending] = time.perf_counter() - start + reading
        assert bodies
    raw = took.get(False)
    ratio = f"{took[True] / raw:.2f}" if raw else "(beside the clean one)"
    print(f"{name:<34} {reading:>7.2f} {raw or 0.0:>18.2f} {took[True]:>15.2f}   {ratio}", flush=True)


def _dirtied(groups: list[Group]) -> list[Group]:
    """Tear and flip every twentieth piece."""
    generator = np.random.default_rng(5)
    dirty = []
    for number, (name, vertices, faces) in enumerate(groups):
        if number % 20 == 0:
            kept = faces[generator.random(len(faces)) > 0.02]
            turn = generator.random(len(kept)) < 0.3
            faces = np.where(turn[:, None], kept[:, ::-1], kept)
        dirty.append((name, vertices, faces))
    return dirty


if __name__ == "__main__":
    main()
