"""Makes a set: its holds, then shopping list, contact sheet, plates and report, these all or none."""

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from holdwright.errors import ExportError
from holdwright.pipeline.canonical_json import canonical
from holdwright.pipeline.recipes.set_file import HoldSet, PlannedHold
from holdwright.sets.benches import Benches
from holdwright.sets.known_files import REPORT, sha256_of
from holdwright.sets.run_set import Heard, MadeHold, SetOptions, run_set, set_holds


def finish_set(
    of: HoldSet,
    out: Path,
    options: SetOptions,
    heard: Heard | None = None,
    made_one: Callable[[MadeHold], None] | None = None,
    stopped: Callable[[], bool] | None = None,
) -> dict[str, Any]:
    """Make all that a set asks for, and give its report.

    Parameters
    ----------
    out
        Folder for the set; each hold gets one of its name in it.
    heard, made_one
        Told how far a hold is, and of each that is done.
    stopped
        Asked all the time whether to give up; holds that are made stay, and are known again.

    Raises
    ------
    Cancelled
        When it was stopped.
    ExportError
        When the folder cannot be written to. Holds that are made stay.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        by_name = {}
        with Benches(options.jobs, stopped) as benches:
            for each in _making(set_holds(of), out, options, benches, heard):
                by_name[each.hold.name] = each
                if made_one is not None:
                    made_one(each)
            made = tuple(by_name[hold.name] for hold in of.holds)
            key = _key(made, options)
            before = _made_before(out, key)
            if before is not None:
                return _with_statuses(before, made)
            from holdwright.sets.set_files import write_set_files  # needless where all is there

            return write_set_files(of, made, out, key, benches.do_all)
    except OSError as error:
        raise ExportError(
            f"The set cannot be written to {out}: {error.strerror or error}; choose another folder or make "
            "room. What was there before is as it was."
        ) from error


def _making(
    holds: tuple[PlannedHold, ...], out: Path, options: SetOptions, benches: Benches, heard: Heard | None
) -> Iterator[MadeHold]:
    if not options.cluster:
        return run_set(holds, out, options, benches, heard)
    from holdwright.sets.cluster import run_on_cluster  # for those alone who have one

    return run_on_cluster(holds, out, options, benches, heard)


def _key(made: tuple[MadeHold, ...], options: SetOptions) -> str:
    holds = [[each.hold.name, each.hold.count, each.report.get("key"), each.message] for each in made]
    return hashlib.blake2b(canonical([holds, options.options]).encode(), digest_size=16).hexdigest()


def _made_before(out: Path, key: str) -> dict[str, Any] | None:
    """Give the report of the same set whose files are all there as written; None else."""
    with suppress(OSError, ValueError, KeyError, TypeError):
        plain: dict[str, Any] = json.loads((out / REPORT).read_bytes())
        if plain["key"] == key and all(
            sha256_of(out / each["name"]) == each["sha256"] for each in plain["files"]
        ):
            return plain
    return None


def _with_statuses(plain: dict[str, Any], made: tuple[MadeHold, ...]) -> dict[str, Any]:
    """Give the report of before with what was done now."""
    holds = [
        {**hold, "status": each.status, "seconds": round(each.seconds, 2)}
        for hold, each in zip(plain["holds"], made, strict=True)
    ]
    return {**plain, "statuses": dict(Counter(each.status for each in made)), "holds": holds}
