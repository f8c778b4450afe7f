"""What the program makes of samples and real meshes, in figures, to compare before and after a change.

::

    python tests/bench/measures.py --quick OUT.json     samples and variants of the recipe, under two minutes
    python tests/bench/measures.py OUT.json             the folder of real meshes beside the project as well
    python tests/bench/measures.py --compare OLD.json NEW.json

A case is one recipe on one sculpt. Of each step it holds volume, bounds, area, features and findings; of the
finished hold the figures of its joint; of a refusal the error's class. Some cases are a command's own JSON.
Every case has a process and a time limit of its own, so that none can stop the others.

The comparison prints every difference, and exits with 1 where there is one. Numbers may differ by 1e-9 of
themselves (or 1e-9 where they are below 1), all else must be the same; sentences are left aside unless
``--text`` is given, times always. A field that was only renamed is told with ``--rename OLD=NEW``, a pattern
for the path of the old figure; what is meant to differ is left aside with ``--ignore PATTERN``.

Whatever the package's modules are called, the few functions named in `USED` are found by their own names.
Where one of these is renamed, or gives another shape, `USED` and the functions below it are to adapt.
"""

import argparse
import dataclasses
import importlib
import json
import math
import multiprocessing
import multiprocessing.process
import os
import re
import resource
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from measure_cases import cases
from measure_compare import compare

import holdwright

MEMORY = 6 << 30
"""Address space a case may take, in bytes."""

USED = {
    "recipe": "load_recipe",
    "change": "set_parameter",
    "catalogue": "load_catalogue",
    "sculpt": "read_sculpt",
    "steps": "replay_steps",
    "conditions": "conditions",
    "shape": "joint_shape",
    "cards": "joint_cards",
    "findings": "joint_findings",
    "error": "HoldwrightError",
}
"""What a case needs of the package, by the names the package has for it."""


@cache
def used(what: str) -> Any:
    """Find a function or class of the package by its name, whichever module defines it."""
    name = USED[what]
    package = Path(holdwright.__file__).parent
    told = re.compile(rf"^(def|class) {name}\b", re.MULTILINE)
    there = [path for path in sorted(package.rglob("*.py")) if told.search(path.read_text("utf-8"))]
    if len(there) != 1:
        raise SystemExit(f"{len(there)} modules define {name}: adapt USED in {__file__}.")
    module = ".".join(("holdwright", *there[0].relative_to(package).with_suffix("").parts))
    return getattr(importlib.import_module(module), name)


def plain(value: Any) -> Any:
    """Give a value as JSON has it; a dataclass by its fields, a long array by its extent alone."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, np.ndarray | np.generic):
        return plain(value.tolist() if value.size <= 64 else {"extent": [value.min(0), value.max(0)]})
    if isinstance(value, list | tuple):
        return [plain(each) for each in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else f"float:{value}"
    return value if isinstance(value, str | int | None) else type(value).__name__


def step_figures(step: Any) -> dict[str, Any]:
    """Measure the hold as a step left it."""
    return {
        "operation": step.operation,
        "enabled": step.enabled,
        "result": step.result,
        "solids": {
            name: {"volume": solid.volume, "area": solid.area, "bounds": plain(solid.bounds)}
            for name, solid in step.hold.solids.items()
        },
        "placement": plain(step.hold.placement),
        "features": [{"class": type(each).__name__, **plain(each)} for each in step.hold.features],
        "findings": plain(step.findings),
        "pieces": plain(step.pieces),
    }


CARD_FIGURES = (
    *("seat_pressure", "friction_radius", "friction_torque", "applied_torque", "spin", "slip", "lift"),
    *("overturning", "bolt_tension", "screws", "screw_torque"),
)


def joint_figures(hold: Any, catalogue: Any) -> Any:
    """Reckon a hold's joint under the usual conditions, at full precision."""
    wanted = used("conditions")(catalogue)
    try:
        shape = used("shape")(hold)
        cards = used("cards")(shape, wanted, catalogue)
    except used("error") as refusal:
        return refused(refusal)
    return {
        "contact": {
            "area": shape.contact.area,
            "pressed": shape.contact.pressure.share,
            "centre": plain(shape.contact.centre),
        },
        "reach": plain(shape.reach),
        "bores": [
            {
                **{name: plain(getattr(card, name).value) for name in CARD_FIGURES},
                **{name: plain(getattr(card, name)) for name in ("preload", "bolt", "bolt_name", "window")},
                "screw_distance": plain(card.screw_distance),
                "cases": [plain([held.spin, held.slip, held.lift]) for _, held in card.cases],
            }
            for card in cards
        ],
        "findings": plain(used("findings")(cards)),
    }


def refused(error: Exception) -> dict[str, Any]:
    """Tell a refusal by its class and exit code."""
    return {
        "error": type(error).__name__,
        "exit_code": getattr(error, "exit_code", 70),
        "message": str(error),
    }


def replayed(case: dict[str, Any]) -> dict[str, Any]:
    """Do a recipe on a sculpt and measure it."""
    told: dict[str, Any] = {"steps": {}}
    try:
        recipe = used("recipe")(Path(case["recipe"]))
        for change in case["changes"]:
            recipe = used("change")(recipe, change)
        catalogue = used("catalogue")()
        sculpt = used("sculpt")(Path(case["sculpt"]))
        told["sculpt"] = {
            "format": sculpt.format,
            "origin": plain(sculpt.origin),
            "pieces": len(sculpt.pieces),
        }
        hold = None
        for step in used("steps")(recipe, sculpt, catalogue=catalogue):
            told["steps"][step.id], hold = step_figures(step), step.hold
        told["joint"] = joint_figures(hold, catalogue)
    except used("error") as error:
        told["refused"] = refused(error)
    return told


def commanded(case: dict[str, Any]) -> dict[str, Any]:
    """Run a command and take its JSON: what it prints, or the report that it writes."""
    with tempfile.TemporaryDirectory() as folder:
        out = ["--out", folder] if case["command"][0] == "replay" else []
        command = [sys.executable, "-m", "holdwright", *case["command"], *out]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        reports = sorted(Path(folder).glob("*.report.json"))
        text = reports[0].read_text("utf-8") if reports else done.stdout
        files = sorted(path.name for path in Path(folder).iterdir())
    try:
        told = json.loads(text)
    except ValueError:
        told = text
    return {"code": done.returncode, "files": files, "json": told}


def run_case(case: dict[str, Any], out: Path) -> None:
    """Measure one case and write its figures: what the process of a case does."""
    os.setsid()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    try:
        told = commanded(case) if "command" in case else replayed(case)
    except MemoryError:
        told = {"too_much_memory": MEMORY}
    except Exception:  # noqa: BLE001  a fault of the program is a figure like any other
        told = {"fault": traceback.format_exc()[-2000:]}
    out.write_text(json.dumps(told), "utf-8")


@dataclasses.dataclass
class Running:
    """A case in its process, forked so that it need not import the package anew."""

    name: str
    process: multiprocessing.process.BaseProcess
    out: Path
    start: float

    def result(self, limit: float) -> dict[str, Any] | None:
        """Give the figures when they are there, or that it took too long; None while it may go on."""
        seconds = round(time.monotonic() - self.start, 2)
        if not self.process.is_alive():
            crash = {"fault": f"its process ended with {self.process.exitcode}"}
            told = json.loads(self.out.read_text("utf-8")) if self.out.exists() else crash
        elif seconds > limit:
            os.killpg(self.process.pid or 0, signal.SIGKILL)
            told = {"too_long": limit}
        else:
            return None
        self.process.join()
        met = next(
            (key for key in ("too_long", "too_much_memory", "fault", "refused") if key in told), "done"
        )
        print(f"{seconds:7.1f} s  {met:9}  {self.name}", file=sys.stderr, flush=True)
        return {"seconds": seconds, **told}


def measure_all(quick: bool, processes: int, limit: float, only: str) -> dict[str, Any]:
    """Measure every case whose name holds `only`."""
    for what in USED:
        used(what)
    told: dict[str, Any] = {}
    running: list[Running] = []
    fork = multiprocessing.get_context("fork")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        asked = [(name, case) for name, case in cases(quick, folder).items() if only in name][::-1]
        while asked or running:
            while asked and len(running) < processes:
                name, case = asked.pop()
                out = folder / f"{len(asked)}.json"
                process = fork.Process(target=run_case, args=(case, out))
                process.start()
                running.append(Running(name, process, out, time.monotonic()))
            time.sleep(0.02)
            for each in tuple(running):
                result = each.result(limit)
                if result is not None:
                    told[each.name] = result
                    running.remove(each)
    return {"package": holdwright.__file__, "cases": told}


def main() -> int:
    """Measure, or compare."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("out", nargs="?", type=Path, help="file to write")
    parser.add_argument("--quick", action="store_true", help="samples and variants alone")
    parser.add_argument("--only", default="", help="only cases whose name holds this")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for a case (60)")
    parser.add_argument("--compare", nargs=2, type=Path, metavar=("OLD", "NEW"))
    parser.add_argument("--rename", action="append", default=[], metavar="OLD=NEW")
    parser.add_argument("--ignore", action="append", default=[], metavar="PATTERN")
    parser.add_argument("--text", action="store_true", help="compare sentences too")
    given = parser.parse_args()
    if given.compare:
        return compare(*given.compare, given.rename, given.ignore, given.text)
    if given.out is None:
        parser.error("name the file to write, or --compare two")
    told = measure_all(given.quick, given.processes, given.limit, given.only)
    given.out.write_text(json.dumps(told, indent=1, sort_keys=True) + "\n", "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
