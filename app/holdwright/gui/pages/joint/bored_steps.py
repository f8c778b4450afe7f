"""Which steps bored a hold, whether its joint can be judged yet, and whose bore a finding is at."""

from collections.abc import Sequence
from math import hypot

from holdwright.gui.document.document import Document
from holdwright.hold.feature import Bore
from holdwright.hold.finding import Finding
from holdwright.operations.cut_bore import CutBore
from holdwright.operations.trim_base import TrimBase
from holdwright.pipeline.recipes.recipe import Recipe, Step
from holdwright.pipeline.views.display_results import ShownStep


def bore_steps(recipe: Recipe) -> list[Step]:
    """Give the steps that bore and are not skipped."""
    return [step for step in recipe.steps if step.enabled and step.operation == CutBore.name]


def hold_to_judge(document: Document) -> tuple[ShownStep | None, str]:
    """Give the result of the last step, or why there is none whose joint can be judged."""
    steps = [step for step in document.recipe.steps if step.enabled]
    if not bore_steps(document.recipe):
        return None, "The recipe bores no hole for a bolt, so that there is no joint to judge."
    if not any(step.operation == TrimBase.name for step in steps):
        return None, "The joint is judged once the back is trimmed; add a step Trim base."
    shown = {step.id: document.step(step.id) for step in steps if document.is_current(step.id)}
    failed = next((step for step in shown.values() if step is not None and step.failed), None)
    if failed is not None:
        return None, f"The hold is not finished: {failed.failed}"
    last = shown.get(steps[-1].id)
    if last is None:
        waits = "The joint is judged once the hold is finished."
        return None, waits if document.busy else f"{waits} Its steps have not all been done."
    return last, ""


def step_that_bored(document: Document, bores: Sequence[Bore], finding: Finding) -> str:
    """Give the id of the step that cut the bore nearest to a finding; the first one's where that is open."""
    steps: list[str] = []
    for step in bore_steps(document.recipe):
        shown = document.step(step.id)
        count = sum(isinstance(each, Bore) for each in shown.features) if shown else 0
        steps += [step.id] * (count - len(steps))
    if finding.where is None or len(steps) != len(bores):
        return bore_steps(document.recipe)[0].id
    x, y, _ = finding.where
    return steps[min(range(len(bores)), key=lambda each: hypot(bores[each].x - x, bores[each].y - y))]
