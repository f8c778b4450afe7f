"""The steps a recipe may hold, one file each, in shop order."""

from typing import Any, Final

from holdwright.operations.base import Operation
from holdwright.operations.chamfer_tips import ChamferTips
from holdwright.operations.cut_bore import CutBore
from holdwright.operations.cut_screw_hole import CutScrewHole
from holdwright.operations.engrave_back import EngraveBack
from holdwright.operations.import_sculpt import ImportSculpt
from holdwright.operations.orient_to_base import OrientToBase
from holdwright.operations.relieve_back import RelieveBack
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.operations.split_core import SplitCore
from holdwright.operations.trim_base import TrimBase

OPERATIONS: Final[tuple[Operation[Any], ...]] = (
    ImportSculpt(),
    OrientToBase(),
    ScaleToEnvelope(),
    TrimBase(),
    ChamferTips(),
    CutBore(),
    CutScrewHole(),
    RelieveBack(),
    EngraveBack(),
    SplitCore(),
)
"""In shop order. The first is the one every recipe starts with."""


def known_operation(name: str) -> Operation[Any] | None:
    """Give the operation of that name; None where this program has none."""
    return next((operation for operation in OPERATIONS if operation.name == name), None)


def operation_title(name: str) -> str:
    """Give the title of the operation of that name, also where this program has none."""
    operation = known_operation(name)
    return operation.title if operation is not None else name.replace("_", " ")
