"""From plain JSON values to an operation's parameters, every problem at once."""

import json
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any, TypeVar

from pydantic import ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from holdwright.errors import ParameterError
from holdwright.parameters.describe import describe
from holdwright.parameters.kinds import Parameters
from holdwright.pipeline.canonical_json import plain
from holdwright.validation_messages import validation_message

P = TypeVar("P", bound=Parameters)

Problem = tuple[str, str]


class UnknownParameters(Parameters):
    """Parameters of an operation this program does not know, kept as they were read."""

    model_config = ConfigDict(frozen=True, extra="allow", allow_inf_nan=False)


def read_parameters(
    kind: type[P], values: Mapping[str, Any], path: str = ""
) -> tuple[P | None, list[Problem]]:
    """Check values strictly against a parameters class; those left out take their defaults.

    Returns
    -------
    parameters, problems
        None and pairs of (path, what is wrong there), or the parameters and no problem.
    """
    try:
        return kind.model_validate_json(json.dumps(plain(values)), strict=True), []
    except ValidationError as error:
        fields = describe(kind)
        units = {field.name: field.unit for field in fields if field.unit}
        return None, problems_of(error, path, [field.name for field in fields], units)
    except ParameterError as error:
        return None, [(path, str(error))]


def changed_parameters(parameters: P, changes: Mapping[str, Any], where: str) -> P:
    """Give the parameters with some values changed.

    Parameters
    ----------
    where
        Names the step in the error's sentence.

    Raises
    ------
    ParameterError
        When a name is unknown or a value makes no sense.
    """
    if isinstance(parameters, UnknownParameters):
        raise ParameterError(f"{where}: this program does not know the operation, so its values stay.")
    changed, problems = read_parameters(type(parameters), {**parameters.model_dump(), **changes})
    if changed is None:
        titles = {field.name: field.title for field in describe(type(parameters))}
        texts = [": ".join(filter(None, (titles.get(path, path), what))) for path, what in problems]
        raise ParameterError(f"{where}: {'; '.join(texts)}.")
    return changed


def problems_of(
    error: ValidationError,
    prefix: str = "",
    names: Sequence[str] = (),
    units: Mapping[str, str] = MappingProxyType({}),
) -> list[Problem]:
    """Turn a model's errors into pairs of (path, what is wrong there), in our own words.

    Parameters
    ----------
    prefix
        Put before every path.
    names
        What may stand at the top level, to be listed where something else does.
    units
        Of numbers, by the name at the top level.
    """
    return [(join_path(prefix, detail["loc"]), _sentence(detail, names, units)) for detail in error.errors()]


def join_path(prefix: str, location: Iterable[int | str]) -> str:
    """Write a place within JSON, such as ``steps[3].parameters.height``."""
    path = prefix
    for part in location:
        path += f"[{part}]" if isinstance(part, int) else f".{part}" if path else part
    return path


def _sentence(detail: ErrorDetails, names: Sequence[str], units: Mapping[str, str]) -> str:
    field = detail["loc"][0] if detail["loc"] else ""
    message = validation_message(detail, units.get(str(field), ""))
    if detail["type"] == "extra_forbidden" and names and len(detail["loc"]) == 1:
        return f"{message}; possible here: {', '.join(names)}"
    return message
