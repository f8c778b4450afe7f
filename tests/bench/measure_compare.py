"""Compares two files that `measures` wrote."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

TOLERANCE = 1e-9

UNTIMED = re.compile(r"/(seconds|searches|cached|program|digest|source)(/|$)")
"""What may differ from run to run, or says only what was run."""


def flat(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Give every leaf with its path; findings by their codes, so that one more does not shift the others."""
    if isinstance(value, dict) and value:
        for key, each in value.items():
            yield from flat(each, f"{path}/{key}")
    elif isinstance(value, list) and value:
        met: dict[str, int] = {}
        for number, each in enumerate(value):
            name = str(each["code"]) if isinstance(each, dict) and "code" in each else ""
            met[name] = met.get(name, 0) + 1
            yield from flat(each, f"{path}/{name}:{met[name]}" if name else f"{path}/{number}")
    else:
        yield path, value


def same(old: Any, new: Any, text: bool) -> bool:
    """Compare two leaves."""
    if isinstance(old, bool) or isinstance(new, bool):
        return old is new
    if isinstance(old, int | float) and isinstance(new, int | float):
        return abs(old - new) <= TOLERANCE * max(1.0, abs(old), abs(new))
    sentences = isinstance(old, str) and isinstance(new, str) and " " in old and " " in new
    return bool(old == new) or (sentences and not text)


def relative(old: Any, new: Any) -> str:
    """Say how far apart two numbers are."""
    if not (isinstance(old, int | float) and isinstance(new, int | float)) or old == 0:
        return ""
    return f"  ({(new - old) / abs(old):+.2e})"


def compare(old_path: Path, new_path: Path, renames: list[str], ignored: list[str], text: bool) -> int:
    """Print every difference; give 1 where there is one."""
    old_cases, new_cases = (json.loads(path.read_text("utf-8"))["cases"] for path in (old_path, new_path))
    patterns = [tuple(rename.split("=", 1)) for rename in renames]
    differences = compared = 0
    for name in sorted(old_cases.keys() | new_cases.keys()):
        old, new = old_cases.get(name), new_cases.get(name)
        if old is None or new is None:
            print(f"{name}: only in {old_path if new is None else new_path}")
            continue
        late = [told for told in (old, new) if "too_long" in told]
        if late and min(old["seconds"], new["seconds"]) > late[0]["too_long"] / 3:
            print(f"{name}: took too long, not compared")
            continue
        sides = [{path: each for path, each in flat(told) if not UNTIMED.search(path)} for told in (old, new)]
        for pattern, replacement in patterns:
            sides[0] = {re.sub(pattern, replacement, path): each for path, each in sides[0].items()}
        for path in sorted(sides[0].keys() | sides[1].keys()):
            first, second = (side.get(path, "(absent)") for side in sides)
            compared += 1
            if not same(first, second, text) and not any(re.search(each, name + path) for each in ignored):
                differences += 1
                print(f"{name}{path}: {first} -> {second}{relative(first, second)}")
    both = len(old_cases.keys() & new_cases.keys())
    print(f"{differences} differences among {compared} figures of {both} cases")
    return 1 if differences else 0
