"""Which results a tool works between: what is in the view, and the hold as it enters the step."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_direction, move_points
from holdwright.gui.document.document import Document
from holdwright.hold.feature import Feature
from holdwright.parameters.kinds import PointPick
from holdwright.pipeline.recipes.recipe import Step
from holdwright.pipeline.views.display_results import ShownStep, Surface


@dataclass(frozen=True, eq=False)
class Frames:
    """Leads from the frame of what is shown to that of the hold as it enters a step, and back."""

    shown: ShownStep | None
    """The step whose solids are in the view; None for the raw sculpt."""
    entering: ShownStep | None
    """The last step before the one worked on that gave solids; None where that one is the first."""
    own: bool
    """Whether what is shown is the result of the step worked on."""

    @property
    def own_features(self) -> tuple[Feature, ...]:
        """What the step itself gave; nothing where its result is not what is shown."""
        before = self.entering.features if self.entering else ()
        shown = self.shown.features if self.shown and self.own else ()
        return tuple(each for each in shown if each not in before)

    @property
    def shown_surface(self) -> Surface | None:
        """The surface of the first solid shown, coarser where it is very fine."""
        return _light_surface(self.shown)

    @property
    def entering_surface(self) -> Surface | None:
        """That of the hold as it enters the step."""
        return _light_surface(self.entering)

    @property
    def to_entering(self) -> Floats:
        """(4, 4) from what is shown to the hold as it enters the step."""
        if self.shown is None or self.entering is None:
            return np.eye(4)
        return np.asarray(self.entering.placement @ np.linalg.inv(self.shown.placement))

    @property
    def from_entering(self) -> Floats:
        """(4, 4) the other way."""
        return np.asarray(np.linalg.inv(self.to_entering))

    def pick(self, point: Floats, normal: Floats) -> PointPick:
        """Give a place on what is shown as the recipe has it."""
        matrix = self.to_entering
        x, y, z = (round(float(part), 4) for part in move_points(matrix, np.asarray(point, dtype=np.float64)))
        u, v, w = (round(float(part), 6) + 0.0 for part in move_direction(matrix, normal))
        return PointPick(point=(x, y, z), normal=(u, v, w))

    def place(self, pick: PointPick) -> tuple[Floats, Floats]:
        """Give a recipe's pick as point and unit normal on what is shown."""
        matrix = self.from_entering
        normal = np.array(pick.normal)
        if not np.linalg.norm(normal) > 0.0:
            normal = np.array([0.0, 0.0, 1.0])
        return move_points(matrix, np.array(pick.point)), move_direction(matrix, normal)


def frames_of(document: Document, step_id: str) -> Frames:
    """Find what is shown while a step is worked on, and what enters it."""
    steps = document.recipe.steps
    place = next((number for number, step in enumerate(steps) if step.id == step_id), 0)
    entering = last_with_solids(document, steps[:place])
    shown = last_with_solids(document, steps[: place + 1])
    return Frames(shown, entering, shown is not None and shown.id == step_id)


def last_with_solids(document: Document, steps: Sequence[Step]) -> ShownStep | None:
    """Give the last result of some steps that has solids; None where none has."""
    for step in reversed(steps):
        result = document.step(step.id)
        if result is not None and result.solids:
            return result
    return None


def _light_surface(step: ShownStep | None) -> Surface | None:
    return next((solid.light or solid.surface for solid in step.solids.values()), None) if step else None
