"""What the handles of a step use: document, view, something to draw with, what the pointer holds."""

from collections.abc import Mapping
from typing import Any

from PySide6.QtCore import Qt

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.geometry.arrays import Floats
from holdwright.gui.document.document import Document
from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.handles.grip import Grasp
from holdwright.gui.handles.pointer_projection import along_axis, area_text, is_end_on, length_text, snapped
from holdwright.gui.handles.step_solids import Frames
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.gui.viewport.view_camera import Lens
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets.number_format import Preferred
from holdwright.gui.widgets.painting import tones
from holdwright.pipeline.recipe import Step


class HandleContext:
    """The context of one step's handles in one view.

    Parameters
    ----------
    operation
        Of the step; should the recipe come to have another under its id, there is nothing to work on.
    unit
        Lengths are written in it.

    Attributes
    ----------
    frames
        Which results the step is between.
    hot
        Name of the grip under the pointer or dragged, or blank.
    held
        What is dragged, or None.
    """

    def __init__(
        self,
        document: Document,
        step_id: str,
        operation: str,
        catalogue: Catalogue,
        unit: Preferred,
        viewport: Viewport,
    ) -> None:
        self.document = document
        self.step_id = step_id
        self.catalogue = catalogue
        self.viewport = viewport
        self.painter = GhostPainter(viewport.overlay, step_id, tones(viewport))
        self.frames = Frames(None, None, own=False)
        self.hot = ""
        self.held: Grasp | None = None
        self._operation = operation
        self._unit = unit

    @property
    def step(self) -> Step | None:
        """The step as the recipe has it; None once it is gone, and while it is skipped."""
        try:
            step = self.document.recipe.step(self.step_id)
        except HoldwrightError:
            return None
        return step if step.operation == self._operation and step.enabled else None

    @property
    def lens(self) -> Lens:
        """How the view is looked at now."""
        return self.viewport.lens

    @property
    def dragged(self) -> str:
        """Name of the grip that is dragged, or blank."""
        return self.held.grip.name if self.held else ""

    def edit(self, changes: Mapping[str, Any], tag: str = "") -> None:
        """Change values of the step, as one entry of the history."""
        if changes:
            self.document.edits.edit(self.step_id, changes, tag)

    def travel(self, event: ToolEvent, axis: Floats) -> float:
        """Give how far the pointer has dragged along a unit axis through where it took hold, mm.

        Where the axis points at the eye, up on the screen is along it.
        """
        held = self.held
        if held is None:
            return 0.0
        if is_end_on(event.ray(), axis):
            return (held.y - event.y) * self.lens.mm_per_pixel(held.place)
        began = along_axis(self.lens.ray(held.x, held.y), held.place, axis)
        return along_axis(event.ray(), held.place, axis) - began

    def text(self, length: float) -> str:
        """Write a length in mm as it stands beside a handle."""
        return length_text(length, self._unit)

    def area_text(self, area: float) -> str:
        """Write an area in mm2 likewise."""
        return area_text(area, self._unit)

    def snapped(self, length: float, step: float, event: ToolEvent) -> float:
        """Put a length on whole steps, both in mm; with Alt held it stays nearly as it is."""
        free = bool(event.modifiers & Qt.KeyboardModifier.AltModifier)
        return snapped(length, step, self._unit, free=free)
