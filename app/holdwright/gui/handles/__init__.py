"""Handles in the view: for each step the tool it is worked on with by hand."""

from typing import Any, Final

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.document import Document
from holdwright.gui.figures import Preferred
from holdwright.gui.handles.chamfer_tips import TipsTool
from holdwright.gui.handles.cut_bore import BoreTool
from holdwright.gui.handles.import_sculpt import PiecesTool
from holdwright.gui.handles.orient_to_base import OrientTool
from holdwright.gui.handles.scale_to_envelope import ScaleTool
from holdwright.gui.handles.split_core import CoreTool
from holdwright.gui.handles.step_tool import StepTool
from holdwright.gui.handles.trim_base import TrimTool

TOOLS: Final[tuple[type[StepTool[Any]], ...]] = (
    PiecesTool,
    OrientTool,
    ScaleTool,
    TrimTool,
    TipsTool,
    BoreTool,
    CoreTool,
)
"""In shop order."""


def tool_for(
    operation: str, step_id: str, document: Document, catalogue: Catalogue, unit: Preferred = "mm"
) -> StepTool[Any] | None:
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
    kind = next((tool for tool in TOOLS if tool.operation == operation), None)
    return kind(document, step_id, catalogue, unit) if kind else None
