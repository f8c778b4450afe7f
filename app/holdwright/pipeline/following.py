"""A recipe's places on a revised sculpt: each goes where its place on the sculpt before is now."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points, scale_of
from holdwright.hold.earlier_steps import EarlierStep, entered_frame, left_frame
from holdwright.hold.finding import Finding, Point, point
from holdwright.hold.finding_builder import limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.hold.moved_places import moved_places
from holdwright.operations.import_words import SUPPOSED_EXTENT
from holdwright.operations.orient_to_base import OrientToBase
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.operations.trim_parameters import TRIM_BASE
from holdwright.parameters.kinds import Parameters
from holdwright.pipeline.recipe import Recipe, Step

TRIFLE: Final = 0.02
"""mm by which a place is not moved: two exports of one sculpt are laid on each other no better."""


@dataclass(frozen=True)
class Following:
    """How the steps of a recipe go by those on the sculpt before."""

    steps: tuple[EarlierStep, ...] = ()
    """As they were done on that."""
    same_file: bool = False
    """Whether it is the very file: then places that were given stay as they are."""

    def moved(self, step_id: str, parameters: Parameters, hold: Hold) -> tuple[dict[str, Any], float]:
        """Give the values of a step to be changed on the hold that enters it, and how far places go, mm."""
        known = self._of(step_id)
        matrix = self._into(hold, entered_frame(self.steps, step_id))
        if matrix is None or self.same_file or known is None or known.followed:
            return {}, 0.0
        changes, farthest = moved_places(parameters, matrix)
        return (changes, farthest) if farthest > TRIFLE else ({}, 0.0)

    def before(self, step: Step, hold: Hold) -> tuple[Point, ...] | None:
        """Give where the step found its places on the sculpt before; as of `Run`."""
        known = self._of(step.id)
        matrix = self._into(hold, left_frame(self.steps, step.id))
        if matrix is None or known is None or (self.same_file and not known.kept):
            return None
        # By then the candidate for the back is written as on this sculpt: another may be chosen.
        if known.followed and step.operation == OrientToBase.name:
            return None
        return tuple(point(np.round(move_points(matrix, np.array(each)), 3)) for each in known.found)

    def findings(
        self, step_id: str, operation: str, moved: float, before: Hold, after: Hold
    ) -> list[Finding]:
        """Say what a step, through which the hold went, has moved against the sculpt before.

        Parameters
        ----------
        moved
            How far its own places were moved, mm.
        """
        found = []
        if moved > 0.0:
            found.append(_places_finding(moved, sized=before.sized))
        now = self._into(after, left_frame(self.steps, step_id))
        if now is not None and not self.same_file:
            found += _MOTIONS[operation](now, after) if operation in _MOTIONS else []
        return found

    def _of(self, step_id: str) -> EarlierStep | None:
        return next((step for step in self.steps if step.id == step_id), None)

    def _into(self, hold: Hold, frame: Floats | None) -> Floats | None:
        """Give what leads from a frame of the earlier hold to the present hold's."""
        laid = np.eye(4) if self.same_file else hold.laid
        if frame is None or laid is None:
            return None
        return np.asarray(hold.placement @ np.linalg.inv(frame @ laid))


def following_of(recipe: Recipe, digest: str) -> Following:
    """Give how a recipe's steps go by what it remembers, on the sculpt of that digest."""
    source = recipe.source
    if source is None or source.made_with is None:
        return Following()
    return Following(source.earlier_steps, same_file=digest == source.made_with.digest)


def _places_finding(moved: float, *, sized: bool) -> Finding:
    size = "mm" if sized else "% of a hold's extent"
    told = new_finding("places_followed", moved, size=size)
    return told if sized else replace(told, unit="%")


def _turned(now: Floats, after: Hold) -> list[Finding]:
    """Say how the hold lies turned to the earlier one; `now`: from that one's frame to its own, (4, 4)."""
    turned = _angle(now)
    if turned <= limit_of("back_turned_since"):
        return []
    across = float(after.whole.size.max()) if after.sized else SUPPOSED_EXTENT
    edge = np.radians(turned) * across / 2.0
    return [new_finding("back_turned_since", turned, edge=edge, across=across)]


def _scaled(now: Floats, after: Hold) -> list[Finding]:
    ratio, extent = scale_of(now), float(after.whole.size.max())
    off = extent * abs(ratio - 1.0)
    if off <= limit_of("scaled_since"):
        return []
    word, percent = "larger" if ratio > 1.0 else "smaller", 100.0 * abs(ratio - 1.0)
    return [new_finding("scaled_since", off, percent=percent, word=word, extent=extent)]


def _cut(now: Floats, _: Hold) -> list[Finding]:
    # The middle of the earlier back, whose height over this one it is.
    height = float(now[2, 3])
    if abs(height) <= limit_of("back_moved_since"):
        return []
    return [new_finding("back_moved_since", abs(height), way="higher" if height < 0.0 else "lower")]


_MOTIONS: Final[Mapping[str, Callable[[Floats, Hold], list[Finding]]]] = MappingProxyType(
    {OrientToBase.name: _turned, ScaleToEnvelope.name: _scaled, TRIM_BASE: _cut}
)
"""What each step that moves the hold may do otherwise than on the sculpt before."""


def _angle(matrix: Floats) -> float:
    cosine = (np.trace(matrix[:3, :3]) / scale_of(matrix) - 1.0) / 2.0
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))


def followed(recipe: Recipe, step_id: str, changes: Mapping[str, Any]) -> Recipe:
    """Give the recipe with a step's places written for its present sculpt."""
    if changes:
        recipe = recipe.with_parameters(step_id, changes)
    source = recipe.source
    if source is None:
        return recipe
    steps = (replace(step, followed=step.followed or step.id == step_id) for step in source.earlier_steps)
    return recipe.with_source(replace(source, earlier_steps=tuple(steps)))
