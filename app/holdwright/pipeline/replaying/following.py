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
from holdwright.hold.hold import WHOLE, Hold
from holdwright.hold.moved_places import moved_height, moved_places
from holdwright.operations.import_words import SUPPOSED_EXTENT
from holdwright.operations.orient_to_base import OrientToBase
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.operations.trim_parameters import TRIM_BASE, TrimBaseParameters
from holdwright.parameters.kinds import Parameters
from holdwright.pipeline.recipes.recipe import Recipe, Step

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
        low = float(hold.whole.bounds[0, 2]) if WHOLE in hold.solids else 0.0
        changes, farthest = moved_places(parameters, matrix, low)
        return (changes, farthest) if farthest > TRIFLE else ({}, 0.0)

    def before(self, step: Step, hold: Hold, ahead: Mapping[str, Step]) -> tuple[Point, ...] | None:
        """Give where the step found its places on the sculpt before; as of `Run`.

        A step that looks ahead to the trim is told where that cuts by a height that follows: that height is
        true millimetres, known only once the hold has its size.
        """
        if TRIM_BASE in ahead:
            return self._cut_before(ahead[TRIM_BASE], hold)
        known = self._of(step.id)
        matrix = self._into(hold, left_frame(self.steps, step.id))
        if matrix is None or known is None or (self.same_file and not known.kept):
            return None
        # By then the candidate for the back is written as on this sculpt: another may be chosen.
        if known.followed and step.operation == OrientToBase.name:
            return None
        return tuple(point(np.round(move_points(matrix, np.array(each)), 3)) for each in known.found)

    def findings(self, step: Step, moved: float, before: Hold, after: Hold) -> list[Finding]:
        """Say what a step, through which the hold went, has moved against the sculpt before.

        Parameters
        ----------
        moved
            How far its own places were moved, mm.
        """
        found = []
        if moved > 0.0:
            found.append(_places_finding(moved, sized=before.sized))
        now = self._into(after, left_frame(self.steps, step.id))
        if now is not None and not self.same_file and step.operation in _MOTIONS:
            found += _MOTIONS[step.operation](now, after, step.parameters)
        return found

    def _cut_before(self, trim: Step, hold: Hold) -> tuple[Point, ...] | None:
        known, parameters = self._of(trim.id), trim.parameters
        matrix = self._into(hold, entered_frame(self.steps, trim.id))
        if matrix is None or self.same_file or known is None or known.followed:
            return None
        if not isinstance(parameters, TrimBaseParameters) or parameters.by != "height":
            return None
        z = moved_height(parameters.height, matrix)
        return None if z is None else ((0.0, 0.0, z),)

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


def _turned(now: Floats, after: Hold, _: Parameters) -> list[Finding]:
    """Say how the hold lies turned to the earlier one; `now`: from that one's frame to its own, (4, 4)."""
    turned = _angle(now)
    if turned <= limit_of("back_turned_since"):
        return []
    across = float(after.whole.size.max()) if after.sized else SUPPOSED_EXTENT
    told = [new_finding("back_turned_since", turned, edge=_at_edge(turned, across), across=across)]
    on_wall = abs(_angle_on_wall(now))
    if on_wall > limit_of("turned_on_wall_since"):
        edge = _at_edge(on_wall, across)
        told.append(new_finding("turned_on_wall_since", on_wall, edge=edge, across=across))
    return told


def _scaled(now: Floats, after: Hold, _: Parameters) -> list[Finding]:
    ratio, extent = scale_of(now), float(after.whole.size.max())
    off = extent * abs(ratio - 1.0)
    if off <= limit_of("scaled_since"):
        return []
    word, percent = "larger" if ratio > 1.0 else "smaller", 100.0 * abs(ratio - 1.0)
    return [new_finding("scaled_since", off, percent=percent, word=word, extent=extent)]


def _cut(now: Floats, _: Hold, parameters: Parameters) -> list[Finding]:
    # The middle of the earlier back, whose height over this one it is.
    height = float(now[2, 3])
    if abs(height) <= limit_of("back_moved_since"):
        return []
    way = "higher" if height < 0.0 else "lower"
    if isinstance(parameters, TrimBaseParameters) and parameters.by == "height":
        kept, there = parameters.height, max(parameters.height + height, 0.0)
        return [new_finding("back_moved_since:height", abs(height), way=way, kept=kept, there=there)]
    return [new_finding("back_moved_since", abs(height), way=way)]


_MOTIONS: Final[Mapping[str, Callable[[Floats, Hold, Parameters], list[Finding]]]] = MappingProxyType(
    {OrientToBase.name: _turned, ScaleToEnvelope.name: _scaled, TRIM_BASE: _cut}
)
"""What each step that moves the hold may do otherwise than on the sculpt before."""


def _at_edge(degrees: float, across: float) -> float:
    """Give how far a turn moves the edge of a hold, mm."""
    return float(np.radians(degrees)) * across / 2.0


def _angle_on_wall(matrix: Floats) -> float:
    """Give by how many degrees it turns about the wall's normal, seen from in front."""
    return float(np.degrees(np.arctan2(matrix[1, 0] - matrix[0, 1], matrix[0, 0] + matrix[1, 1])))


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
