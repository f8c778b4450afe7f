"""What each step of an open recipe last gave, and whether that still holds."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from holdwright.hold.finding import Finding
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.replaying.replay import StepResult
from holdwright.pipeline.views.display_results import ShownStep

Result = StepResult | ShownStep


class StepResults:
    """What each step last gave, and whether that is still what it would give.

    Parameters
    ----------
    changed
        Called after every change.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self._changed = changed
        self._results: dict[str, tuple[Result, object]] = {}
        self._joint: Mapping[str, tuple[Finding, ...]] = {}

    def took(self, result: Result, recipe: Recipe) -> None:
        """Keep a step's result, made by a replay of `recipe`."""
        self._results[result.id] = (result, _made_from(recipe, result.id))
        self._changed()

    def outdate(self) -> None:
        """Count no result as current any longer: the sculpt's file holds another one."""
        self._results = {step_id: (result, None) for step_id, (result, _) in self._results.items()}
        self._changed()

    def judged(self, joint: Mapping[str, tuple[Finding, ...]]) -> tuple[str, ...]:
        """Put the findings of the joint to those of their steps; give the ids of steps that this changes."""
        before, self._joint = self._joint, joint
        changed = tuple(step for step in {**before, **joint} if before.get(step) != joint.get(step))
        if changed:
            self._changed()
        return changed

    def joint_findings(self, step_id: str) -> tuple[Finding, ...]:
        """Give the findings of the joint that were put to those of a step."""
        return self._joint.get(step_id, ())

    def _with_joint(self, result: Result) -> Result:
        found = self.joint_findings(result.id)
        return replace(result, findings=(*result.findings, *found)) if found else result

    def last(self, step_id: str) -> Result | None:
        """Give what the step last gave, current or not."""
        entry = self._results.get(step_id)
        return self._with_joint(entry[0]) if entry else None

    def current(self, step_id: str, recipe: Recipe) -> Result | None:
        """Give what the step gave, if nothing it depends on has changed in the recipe since."""
        entry, now = self._results.get(step_id), _made_from(recipe, step_id)
        return self._with_joint(entry[0]) if entry and now is not None and entry[1] == now else None

    def findings(self, recipe: Recipe) -> tuple[tuple[str, Finding], ...]:
        """Give all findings that are current, each with its step's id, in the order of steps."""
        results = [self.current(step.id, recipe) for step in recipe.steps]
        return tuple((result.id, finding) for result in results if result for finding in result.findings)


def _made_from(recipe: Recipe, step_id: str) -> object:
    """Give all of a recipe that a step's result depends on; None when the step is not in it."""
    made: list[object] = [recipe.source]
    for step in recipe.steps:
        if step.enabled:
            made.append((step.operation, step.version, step.parameters))
        if step.id == step_id:
            return (*made, step.enabled)
    return None
