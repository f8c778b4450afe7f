"""What the route card tells of each step, read off the document."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from holdwright.gui.document.document import Document
from holdwright.gui.document.missing_input import missing_input
from holdwright.gui.document.titles import title_of
from holdwright.gui.widgets.length_text import in_unit
from holdwright.gui.widgets.number_format import Preferred
from holdwright.operations import OPERATIONS
from holdwright.pipeline.recipe import Step

BETWEEN: Final = 5
"""A further step of a kind gets the kind's number and so much more; those after it count on from there."""

_LAST: Final = 9

_WHICH: Final = re.compile(r"^Step \d+ \([^)]*\): ")
"""What a failure's sentence begins with, to be left out where it stands beneath its step."""


@dataclass(frozen=True)
class StepState:
    """One row of the route card.

    Attributes
    ----------
    number, title
        As in shop order, and in words.
    result
        The step's figures; blank before it gave any, while it is off, and where it failed.
    failed
        Why it could not be done; blank where it could.
    awaited
        What is to be clicked in the view before it can be done; blank for nothing.
    off
        Whether it is skipped.
    stale
        Whether what is shown is not yet what the step would give.
    working
        Whether it is being done.
    flags, grave
        Findings that deserve a look, notes apart; whether one of them is an error.
    note
        The maker's own words.
    """

    id: str
    number: str
    title: str
    result: str = ""
    failed: str = ""
    awaited: str = ""
    off: bool = False
    stale: bool = False
    working: bool = False
    flags: int = 0
    grave: bool = False
    note: str = ""

    @property
    def told(self) -> str:
        """The state in words, for those who do not see the row."""
        parts = [f"Step {self.number}"]
        if self.off:
            parts.append("skipped")
        if self.awaited:
            parts.append(f"waits: {self.awaited}")
        elif self.working:
            parts.append("running")
        elif self.stale and not self.off:
            parts.append("not run yet" if not self.result else "out of date")
        parts += [f"failed: {self.failed}"] if self.failed else []
        parts += [self.result] if self.result else []
        parts += [f"{self.flags} finding{'' if self.flags == 1 else 's'}"] if self.flags else []
        parts += [f"note: {self.note}"] if self.note else []
        return "; ".join(parts)


def step_states(document: Document, unit: Preferred = "mm") -> tuple[StepState, ...]:
    """Read the state of every step of the open recipe, in its order, lengths in a unit."""
    steps = document.recipe.steps
    current = {step.id: document.is_current(step.id) for step in steps}
    waiting = [step for step in steps if step.enabled and not current[step.id]]
    working = waiting[0].id if waiting and document.busy and not missing_input(waiting[0]) else ""
    numbers = shop_numbers(steps)
    states = [
        _state(document, step, number, current=current[step.id], working=step.id == working)
        for step, number in zip(steps, numbers, strict=True)
    ]
    return tuple(
        replace(each, result=in_unit(each.result, unit), failed=in_unit(each.failed, unit)) for each in states
    )


def shop_numbers(steps: Sequence[Step]) -> tuple[str, ...]:
    """Give steps numbers as a workshop does: 10, 20, 30 by kind, a further one of a kind 55, 56 and so on."""
    orders = {operation.name: operation.order for operation in OPERATIONS}
    met: dict[str, int] = {}
    numbers: list[str] = []
    order = 0
    for step in steps:
        order = orders.get(step.operation, order)
        before = met.get(step.operation, 0)
        met[step.operation] = before + 1
        further = BETWEEN + before - 1 if before else 0
        if step.operation not in orders:
            further = BETWEEN + before
        over = further - _LAST
        numbers.append(str(order + further) if over <= 0 else f"{order + _LAST}.{over}")
    return tuple(numbers)


def _state(document: Document, step: Step, number: str, *, current: bool, working: bool) -> StepState:
    title = title_of(step.operation)
    if not step.enabled:
        return StepState(step.id, number, title, off=True, stale=not current, note=step.note)
    wanted = missing_input(step)
    if wanted:
        return StepState(step.id, number, title, awaited=wanted, stale=True, note=step.note)
    shown = document.step(step.id)
    if shown is None or not shown.enabled:
        return StepState(step.id, number, title, stale=True, working=working, note=step.note)
    serious = [finding for finding in shown.findings if finding.severity != "note"]
    return StepState(
        step.id,
        number,
        title,
        result=shown.result,
        failed=_WHICH.sub("", shown.failed) if current else "",
        stale=not current,
        working=working,
        flags=len(serious),
        grave=any(finding.severity == "error" for finding in serious),
        note=step.note,
    )
