"""Values as plain JSON, the same value always the same text."""

import json
from typing import Any

from pydantic_core import to_jsonable_python

from holdwright.parameters.kinds import Parameters


def plain_parameters(parameters: Parameters) -> dict[str, Any]:
    """Give all parameters, defaults included, as plain JSON values."""
    values = plain(parameters.model_dump(mode="json"))
    return dict(values)


def plain(value: Any) -> Any:
    """Turn any value made of models, dataclasses, tuples and numbers into plain JSON; 80.0 becomes 80."""
    return _whole_numbers(to_jsonable_python(value, inf_nan_mode="constants"))


def canonical(value: Any) -> str:
    """Write a value as the one text that equal values share.

    Raises
    ------
    ValueError
        When a number in it is not finite.
    """
    return json.dumps(plain(value), sort_keys=True, separators=(",", ":"), allow_nan=False)


def _whole_numbers(value: Any) -> Any:
    if isinstance(value, float):
        return int(value) if value.is_integer() and abs(value) < 2**53 else value
    if isinstance(value, dict):
        return {key: _whole_numbers(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_whole_numbers(part) for part in value]
    return value
