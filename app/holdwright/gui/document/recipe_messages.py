"""What is wrong with a recipe's file, in a few lines: its name, and its steps by their titles."""

import json
import re
from pathlib import Path
from typing import Any, Final

from holdwright.errors import RecipeError
from holdwright.gui.document.missing_input import title_of
from holdwright.operations import OPERATIONS
from holdwright.printable import printable

MOST_LISTED: Final = 3
"""Of more problems than these only the number is given."""

_STEP: Final = re.compile(r"steps\[(\d+)\]")
_ITSELF: Final = re.compile(r"^is \w+, which (?=belongs)")
_OPERATION: Final = re.compile(rf"\b(?:{'|'.join(each.name for each in OPERATIONS)})\b")
_BEGIN: Final = re.compile(r"^steps\[(\d+)\](?:\.parameters)?(?:\.|$)")


def recipe_sentence(error: RecipeError, path: Path) -> str:
    """Say why a recipe's file cannot be used."""
    if len(error.problems) == 1 and not error.problems[0][0]:
        return printable(error.problems[0][1])
    operations = _operations(path)
    lines = [_problem(where, what, operations) for where, what in error.problems[:MOST_LISTED]]
    more = len(error.problems) - len(lines)
    lines += [f"And {more} more"] if more else []
    lines = [f"{printable(each[:1].upper() + each[1:])}." for each in lines]
    return "\n".join([f"{printable(path.name)} cannot be opened:", *lines])


def _problem(where: str, what: str, operations: list[str]) -> str:
    begun = _BEGIN.match(where)
    step = _title(int(begun[1]), operations) if begun else ""
    field = where[begun.end() :] if begun else where
    said = _ITSELF.sub("", what) if step and not field else what
    said = _STEP.sub(lambda met: _title(int(met[1]), operations), said)
    said = _OPERATION.sub(lambda met: title_of(met[0]), said)
    return f"{', '.join(filter(None, (step, field)))} {said}".strip()


def _title(index: int, operations: list[str]) -> str:
    """Name a step by its place, counted from 1, and its title where the file gives it an operation."""
    name = operations[index] if index < len(operations) else ""
    return f"Step {index + 1} ({title_of(name)})" if name else f"Step {index + 1}"


def _operations(path: Path) -> list[str]:
    """Read the operations of a file's steps as far as they can be told."""
    try:
        content: Any = json.loads(path.read_text("utf-8-sig"))
        steps = content["steps"]
        return [str(step.get("operation", "")) if isinstance(step, dict) else "" for step in steps]
    except (OSError, ValueError, RecursionError, KeyError, TypeError):
        return []
