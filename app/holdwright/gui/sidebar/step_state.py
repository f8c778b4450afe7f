"""What the route card shows of each step, read off the document."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain, count

from holdwright.gui.document.document import Document
from holdwright.gui.document.step_texts import missing_input, title_of, without_step
from holdwright.gui.widgets.number_format import Preferred, counted, in_unit
from holdwright.operations import OPERATIONS, known_operation
from holdwright.pipeline.recipes.recipe import Step


@dataclass(frozen=True)
class StepState:
    """One row of the route card."""

    id: str
    number: str
    title: str
    """number and title: as in shop order, and in words."""
    result: str = ""
    """The step's figures; blank before it gave any, while it is off, and where it failed."""
    failed: str = ""
    """Why it could not be done; blank where it could."""
    awaited: str = ""
    """What is to be clicked in the view before it can be done; blank for nothing."""
    off: bool = False
    """Whether it is skipped."""
    stale: bool = False
    """Whether what is shown is not yet what the step would give."""
    working: bool = False
    """Whether it is being done."""
    flags: int = 0
    grave: bool = False
    """flags and grave: findings that deserve a look, notes apart; whether one of them is an error."""
    note: str = ""
    """The maker's own words."""
    summary: str = ""
    """What steps of its kind do."""

    @property
    def description(self) -> str:
        """The state in words, for those who do not see the row."""
        doing = ""
        if self.awaited:
            doing = f"waits: {self.awaited}"
        elif self.working:
            doing = "running"
        elif self.stale and not self.off:
            doing = "out of date" if self.result else "not run yet"
        parts = (
            self.number and f"Step {self.number}",
            self.off and "skipped",
            doing,
            self.failed and f"failed: {self.failed}",
            self.result,
            self.flags and counted(self.flags, "finding"),
            self.note and f"note: {self.note}",
        )
        return "; ".join(str(part) for part in parts if part)


def step_states(document: Document, unit: Preferred = "mm") -> tuple[StepState, ...]:
    """Read the state of every step of the open recipe, in its order, lengths in a unit."""
    steps = document.recipe.steps
    current = {step.id: document.is_current(step.id) for step in steps}
    waiting = [step for step in steps if step.enabled and not current[step.id]]
    working = waiting[0].id if waiting and document.busy and not missing_input(waiting[0]) else ""
    numbers = shop_numbers(steps)
    states = [
        _state(document, step, numbers[step.id], current=current[step.id], working=step.id == working)
        for step in steps
    ]
    return tuple(
        replace(each, result=in_unit(each.result, unit), failed=in_unit(each.failed, unit)) for each in states
    )


def shop_numbers(steps: Sequence[Step]) -> dict[str, str]:
    """Give each step, by id, a workshop's number of its own: 10, 20, 30 by kind, further ones 51, 52."""
    orders = {operation.name: operation.order for operation in OPERATIONS}
    numbers: dict[str, str] = {}
    order = 0
    for step in steps:
        order = orders.get(step.operation, order)
        last = min((each for each in orders.values() if each > order), default=order + 10) - 1
        beyond = (f"{last}.{number}" for number in count(1))
        free = chain(map(str, range(order, last + 1)), beyond)
        numbers[step.id] = next(each for each in free if each not in numbers.values())
    return numbers


def _state(document: Document, step: Step, number: str, *, current: bool, working: bool) -> StepState:
    known, title = known_operation(step.operation), title_of(step.operation)
    summary = known.summary if known else ""
    blank = StepState(step.id, number, title, stale=not current, note=step.note, summary=summary)
    if not step.enabled:
        return replace(blank, off=True)
    awaited, shown = missing_input(step), document.step(step.id)
    if awaited or shown is None or not shown.enabled:
        return replace(blank, awaited=awaited, stale=True, working=working and not awaited)
    serious = [finding for finding in shown.findings if finding.severity != "note"]
    return replace(
        blank,
        result=shown.result,
        failed=without_step(shown.failed) if current else "",
        working=working,
        flags=len(serious),
        grave=any(finding.severity == "error" for finding in serious),
    )
