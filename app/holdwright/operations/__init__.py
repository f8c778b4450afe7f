"""The steps a recipe may hold, one file each, in shop order."""

from typing import Any, Final

from holdwright.operations.base import Operation
from holdwright.operations.import_sculpt import ImportSculpt
from holdwright.operations.split_core import SplitCore

OPERATIONS: Final[tuple[Operation[Any], ...]] = (
    ImportSculpt(),
    SplitCore(),
)
"""In shop order. The first is the one every recipe starts with."""
