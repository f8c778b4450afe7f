"""Handles in the view: for each step the tool it is worked on with by hand."""

from typing import Any, Final

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.document.document import Document
from holdwright.gui.handles.bore_handles import BoreHandles
from holdwright.gui.handles.chamfer_tips import TipsWork
from holdwright.gui.handles.context import Bench
from holdwright.gui.handles.import_sculpt import PiecesWork
from holdwright.gui.handles.orient_to_base import OrientWork
from holdwright.gui.handles.scale_to_envelope import ScaleWork
from holdwright.gui.handles.screw_handles import ScrewHandles
from holdwright.gui.handles.split_core import CoreWork
from holdwright.gui.handles.step_handles import Work
from holdwright.gui.handles.step_tool import StepTool
from holdwright.gui.handles.trim_base import TrimWork
from holdwright.gui.widgets.number_format import Preferred

WORKS: Final[tuple[type[Work[Any]], ...]] = (
    PiecesWork,
    OrientWork,
    ScaleWork,
    TrimWork,
    TipsWork,
    BoreHandles,
    ScrewHandles,
    CoreWork,
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
    work = next((each for each in WORKS if each.operation == operation), None)
    if work is None:
        return None
    return StepTool(work, lambda viewport: Bench(document, step_id, operation, catalogue, unit, viewport))
