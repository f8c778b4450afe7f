"""Handles in the view: for each step the tool it is worked on with the pointer."""

from functools import partial
from typing import Any, Final

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.document.document import Document
from holdwright.gui.handles.bore_and_screw_handles import BoreHandles, ScrewHandles
from holdwright.gui.handles.core_handles import CoreHandles
from holdwright.gui.handles.engraving_handles import EngravingHandles
from holdwright.gui.handles.envelope_handles import EnvelopeHandles
from holdwright.gui.handles.orient_handles import OrientHandles
from holdwright.gui.handles.piece_handles import PieceHandles
from holdwright.gui.handles.relief_handles import ReliefHandles
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.handles.step_tool import StepTool
from holdwright.gui.handles.tip_handles import TipHandles
from holdwright.gui.handles.trim_handles import TrimHandles
from holdwright.gui.widgets.number_format import Preferred

HANDLES: Final[tuple[type[StepHandles[Any]], ...]] = (
    PieceHandles,
    OrientHandles,
    EnvelopeHandles,
    TrimHandles,
    TipHandles,
    BoreHandles,
    ScrewHandles,
    ReliefHandles,
    EngravingHandles,
    CoreHandles,
)
"""In shop order."""


def tool_for(
    operation: str, step_id: str, document: Document, catalogue: Catalogue, unit: Preferred = "mm"
) -> StepTool | None:
    """Make the tool for a step.

    Parameters
    ----------
    operation
        Name of the step's operation.
    unit
        Lengths are written in it.

    Returns
    -------
    StepTool or None
        None where there is no tool for such a step.
    """
    kind = next((each for each in HANDLES if each.operation == operation), None)
    return StepTool(partial(kind, document, step_id, catalogue, unit)) if kind else None
