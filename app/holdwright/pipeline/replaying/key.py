"""Names results by what they were made from, so that equal work is done once."""

import hashlib
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import metadata
from types import MappingProxyType
from typing import Any

from holdwright import __version__
from holdwright.catalogue.catalogue import Catalogue
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.hold.earlier_sculpt import EarlierSculpt
from holdwright.hold.finding import Point
from holdwright.operations.base import Operation
from holdwright.parameters.kinds import Parameters
from holdwright.pipeline.canonical_json import canonical


def sculpt_key(sculpt: Sculpt, earlier: EarlierSculpt | None = None) -> str:
    """Give the key of a sculpt before any step.

    It names its content, the programs that read and cut it, and the earlier sculpt that it is laid on.
    """
    content = [sculpt.digest, sculpt.format, *programs()]
    laid = earlier is not None and earlier.digest != sculpt.digest
    return _digest([*content, earlier] if laid else content)


def step_key(
    before: str,
    operation: Operation[Any],
    parameters: Parameters,
    catalogue: Catalogue,
    ahead: Mapping[str, Parameters] = MappingProxyType({}),
    found_before: Sequence[Point] | None = None,
) -> str:
    """Give the key of what a step makes of the hold whose key is `before`.

    Changes with everything the result depends on: the steps before, the operation's name and version, its
    parameters, those it looks ahead to, the places it looks back to, and the catalogue rows it uses. Where
    the numbers are equal so is the key (80 and 80.0).
    """
    rows = operation.rows(parameters, catalogue)
    content = [before, operation.name, operation.version, parameters, rows]
    looked_back = [] if found_before is None else [list(found_before)]
    return _digest([*content, *sorted(ahead.items()), *looked_back])


@cache
def programs() -> tuple[str, ...]:
    """Give the versions of all that has a say in the figures: readers and steps are this program's own."""
    kernel, numbers = (metadata.version(name) for name in ("manifold3d", "numpy"))
    return (f"holdwright {__version__}", f"manifold3d {kernel}", f"numpy {numbers}")


def _digest(content: Any) -> str:
    return hashlib.blake2b(canonical(content).encode(), digest_size=16).hexdigest()
