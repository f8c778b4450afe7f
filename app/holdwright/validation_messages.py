"""Why a value does not fit where it stands, in our own words, not those of the library that checks it."""

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from holdwright.printable import printable

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

_LONGEST: Final = 60
"""More letters than this of a value are not shown."""

DEEPEST: Final = 50
"""Lists and groups inside one another that a file may have: ours have six."""

_SPOKEN: Final[Mapping[str, str]] = {"deg": "degrees", "%": "percent"}

_KINDS: Final[Mapping[str, str]] = {
    "bool": "true or false",
    "dict": "a group of named values",
    "float": "a number",
    "int": "a whole number",
    "list": "a list",
    "string": "text",
    "tuple": "a list",
}
_GROUPS: Final = ("model_type", "dataclass_type", "model_attributes_type", "mapping_type")

_REQUIRED: Final[Mapping[str, str]] = {
    **{f"{kind}_type": f"be {words}" for kind, words in _KINDS.items()},
    **{f"{kind}_parsing": f"be {words}" for kind, words in _KINDS.items()},
    **dict.fromkeys(_GROUPS, "be a group of named values"),
    "int_from_float": "be a whole number",
    "none_required": "be left empty",
    "literal_error": "be {expected}",
    "finite_number": "be a finite number",
    "greater_than": "be more than {gt:g}{unit}",
    "greater_than_equal": "be at least {ge:g}{unit}",
    "less_than": "be less than {lt:g}{unit}",
    "less_than_equal": "be at most {le:g}{unit}",
    "multiple_of": "be a multiple of {multiple_of:g}{unit}",
    "string_too_short": "be text of at least {min_length} letters",
    "string_too_long": "be text of at most {max_length} letters",
    "too_short": "be a list of at least {min_length}",
    "too_long": "be a list of at most {max_length}",
}
"""What is required, by the type of the error."""


def validation_message(detail: "ErrorDetails", unit: str = "") -> str:
    """Say what is wrong with a value, as the end of a sentence that begins with its name.

    Parameters
    ----------
    detail
        One error of a pydantic model, as `ValidationError.errors` gives it.
    unit
        Of the number required; blank for none.

    Returns
    -------
    Such as "is missing" or 'must be a plain number in mm, but is "12 cm"'.
    """
    match detail["type"]:
        case "missing" | "missing_argument":
            return "is missing"
        case "extra_forbidden" | "unexpected_keyword_argument":
            return "is not known here"
        case "value_error" | "assertion_error":
            return detail["msg"].partition(", ")[2].rstrip(".")
        case kind:
            required, found = _required(kind, detail, unit), shown(detail["input"])
    return f"must {required}, but is {found}" if required else f"is not valid here: {found}"


def too_deep(value: object) -> bool:
    """Tell whether lists and groups stand inside one another more than `DEEPEST` deep; without recursion."""
    level = [value]
    for _ in range(DEEPEST + 1):
        level = [
            inner
            for outer in level
            if isinstance(outer, list | dict)
            for inner in (outer.values() if isinstance(outer, dict) else outer)
        ]
    return bool(level)


def shown(value: object) -> str:
    """Write a value as it stands in a file, shortened where it is long."""
    text = printable(json.dumps(value, default=str, ensure_ascii=False))
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."


def _required(kind: str, detail: "ErrorDetails", unit: str) -> str:
    if detail["input"] == "" and kind == "string_too_short":
        return "not be blank"
    if unit and kind in ("float_type", "float_parsing", "int_type", "int_parsing"):
        return f"be a plain number in {_SPOKEN.get(unit, unit)}"
    spoken = f" {_SPOKEN.get(unit, unit)}" if unit else ""
    return _REQUIRED.get(kind, "").format(**detail.get("ctx", {}), unit=spoken)
