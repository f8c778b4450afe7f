"""JSON without what the standard library lets pass: entries given twice, numbers that are none."""

import json
import math
from collections import Counter
from pathlib import Path
from typing import Any, Final, NoReturn

from holdwright.errors import RecipeError
from holdwright.validation_messages import DEEPEST, shown, too_deep

LARGEST_BYTES: Final = 8_000_000
"""A recipe, a set or a wall is some pages of text; a larger file is something else."""


def read_text(path: Path, what: str) -> str:
    """Read a file of UTF-8 text; `what` it should be, such as "recipe", stands in the errors.

    Raises
    ------
    RecipeError
        When it cannot be read, is too large, or is no such text.
    """
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise RecipeError(f"{path} has {size / 1e6:.0f} MB, too much for a {what}; give a {what}'s file.")
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise RecipeError(f"{path} is not UTF-8 text (byte {error.start}); give a {what}'s file.") from None
    except OSError as error:
        raise RecipeError(f"{path} cannot be read: {error.strerror or error}.") from None


def strict_json(text: str, name: str) -> Any:
    """Read JSON (RFC 8259) text; `name` says in errors where it came from.

    Raises
    ------
    RecipeError
        In one sentence, when it is not JSON, is nested too deep, gives an entry twice, or holds a number that
        is not finite.
    """

    def unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        content = dict(pairs)
        if len(content) < len(pairs):
            twice = next(key for key, number in Counter(key for key, _ in pairs).items() if number > 1)
            raise RecipeError(f"{name} has the entry {shown(twice)} twice in one place; keep one of them.")
        return content

    def infinite(digits: str) -> NoReturn:
        raise RecipeError(f"{name} holds {digits[:20]} where a number should be; numbers must be finite.")

    def finite(digits: str) -> float:
        number = float(digits)
        return number if math.isfinite(number) else infinite(digits)

    def whole(digits: str) -> int:
        return int(digits) if len(digits) < 300 else infinite(digits)

    deep = RecipeError(f"{name} is nested more than {DEEPEST} deep; give a recipe's file.")
    try:
        content = json.loads(
            text, object_pairs_hook=unique, parse_constant=infinite, parse_float=finite, parse_int=whole
        )
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise RecipeError(f"{name} is not JSON: {error.msg} at {place}; give a recipe's file.") from None
    except RecursionError:
        raise deep from None
    if too_deep(content):
        raise deep
    return content


def refuse_newer(content: dict[str, Any], newest: int, name: str) -> None:
    """Refuse a file whose entry `format` is above the newest that this program reads.

    Raises
    ------
    RecipeError
        In one sentence, where `name` says where it came from.
    """
    found = content.get("format")
    if isinstance(found, int) and found > newest:
        raise RecipeError(
            f"{name} was written for a newer Holdwright (format {found}; this one reads {newest}); open it "
            "with that."
        )
