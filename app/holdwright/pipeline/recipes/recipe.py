"""The document: a sculpt and the steps that make a hold of it. Never changed: every edit gives a new one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any, Final

from holdwright import operations
from holdwright.errors import RecipeError
from holdwright.hold.earlier_sculpt import EarlierSculpt
from holdwright.hold.earlier_steps import EarlierStep
from holdwright.joint.joint_parameters import USUAL as USUAL_JOINT
from holdwright.joint.joint_parameters import JointParameters
from holdwright.operations.base import Operation
from holdwright.parameters.kinds import Parameters, SectionParameters
from holdwright.pipeline.parameter_reading import Problem, changed_parameters
from holdwright.printing.print_parameters import USUAL as USUAL_PRINT
from holdwright.printing.print_parameters import PrintParameters

SECTIONS: Final[dict[str, type[SectionParameters]]] = {
    each.name: each for each in (JointParameters, PrintParameters)
}
"""What a recipe says besides its steps, by the name it goes by in a file."""


@dataclass(frozen=True)
class Source:
    """The sculpt a recipe was made for."""

    path: str
    """Of the sculpt's file, relative to the recipe's folder where that can be."""
    digest: str = field(default="", compare=False)
    """Of the file's bytes as they were last read, as `Sculpt.digest`; blank where not known. It tells of the
    file and is no wish of the maker's: recipes that differ in it alone are the same."""
    made_with: EarlierSculpt | None = field(default=None, compare=False)
    """What is remembered of the sculpt that the recipe's places are meant for; None where nothing is."""
    earlier_steps: tuple[EarlierStep, ...] = field(default=(), compare=False)
    """How the recipe's steps were done on that; empty where nothing is remembered of it."""


@dataclass(frozen=True)
class Step:
    """One step of a recipe."""

    id: str
    """Such as "s1", "s2" and so on; unique within the recipe, kept for the step's life."""
    operation: str
    version: int
    """operation, version: name of the operation, and the version of it the parameters are for."""
    parameters: Parameters
    """Of the operation's class; `UnknownParameters` where this program does not know the operation."""
    enabled: bool = True
    """A step that is not is passed over in a replay."""
    note: str = ""
    """The maker's own words."""


@dataclass(frozen=True)
class Recipe:
    """A sculpt's source, or None while there is none, and the steps in shop order."""

    source: Source | None = None
    steps: tuple[Step, ...] = ()
    joint: JointParameters = USUAL_JOINT
    """What the finished hold's joint is judged for."""
    print: PrintParameters = USUAL_PRINT
    """How the finished hold is printed."""

    def step(self, step_id: str) -> Step:
        """Give the step of that id; of a section's name, that section in a step's form.

        Raises
        ------
        RecipeError
            When there is none.
        """
        if step_id in SECTIONS:
            return Step(step_id, step_id, SECTIONS[step_id].version, self.sections[step_id])
        for step in self.steps:
            if step.id == step_id:
                return step
        ids = ", ".join(step.id for step in self.steps) or "none"
        raise RecipeError(f"The recipe has no step {step_id}; its steps are: {ids}.")

    def with_source(self, source: Source | None) -> "Recipe":
        """Give the recipe for another sculpt."""
        return replace(self, source=source)

    def with_parameters(self, step_id: str, changes: Mapping[str, Any]) -> "Recipe":
        """Give the recipe with some values of a step or a section changed.

        Raises
        ------
        ParameterError
            When a name is unknown or a value makes no sense.
        """
        if step_id in SECTIONS:
            section = changed_parameters(self.sections[step_id], changes, f"Section {step_id}")
            values: dict[str, Any] = {step_id: section}
            return replace(self, **values)
        step = self.step(step_id)
        parameters = changed_parameters(step.parameters, changes, f"Step {step.id} ({step.operation})")
        return self._with_step(replace(step, parameters=parameters))

    @property
    def sections(self) -> dict[str, SectionParameters]:
        """What it says besides its steps, by the name of each section."""
        return {name: getattr(self, name) for name in SECTIONS}

    def toggled(self, step_id: str) -> "Recipe":
        """Give the recipe with a step switched off, or on again."""
        step = self.step(step_id)
        return self._with_step(replace(step, enabled=not step.enabled))

    def noted(self, step_id: str, note: str) -> "Recipe":
        """Give the recipe with another note on a step."""
        return self._with_step(replace(self.step(step_id), note=note))

    def inserted(self, operation: Operation[Any], parameters: Parameters | None = None) -> "Recipe":
        """Give the recipe with one step more, at its place in shop order, after any of its own kind.

        Raises
        ------
        RecipeError
            When the recipe may hold only one step of this operation, and has it.
        """
        orders = {known.name: known.order for known in operations.OPERATIONS}
        place = 0
        for index, step in enumerate(self.steps):
            if orders.get(step.operation, operation.order + 1) <= operation.order:
                place = index + 1
        step = Step(self._free_id(), operation.name, operation.version, parameters or operation.parameters())
        return checked(replace(self, steps=(*self.steps[:place], step, *self.steps[place:])))

    def removed(self, step_id: str) -> "Recipe":
        """Give the recipe without a step.

        Raises
        ------
        RecipeError
            When it is the step every recipe starts with.
        """
        gone = self.step(step_id)
        left = tuple(step for step in self.steps if step is not gone)
        return checked(replace(self, steps=left))

    def moved(self, step_id: str, by: int) -> "Recipe":
        """Give the recipe with a step so many places further down; up where that is negative.

        Raises
        ------
        RecipeError
            When shop order does not leave it free, or there is no such place.
        """
        step, steps = self.step(step_id), list(self.steps)
        place = steps.index(step) + by
        if not 0 <= place < len(steps):
            raise RecipeError(
                f"{_title(step)} cannot be moved there: it is the {'first' if by < 0 else 'last'}."
            )
        passed, way, before = steps[place], *(("up", "after") if by < 0 else ("down", "before"))
        steps.remove(step)
        steps.insert(place, step)
        if sequence_problems(list(enumerate(steps))):
            raise RecipeError(f"{_title(step)} cannot be moved {way}: it belongs {before} {_title(passed)}.")
        return replace(self, steps=tuple(steps))

    def _with_step(self, changed: Step) -> "Recipe":
        return replace(self, steps=tuple(changed if step.id == changed.id else step for step in self.steps))

    def _free_id(self) -> str:
        taken = {step.id for step in self.steps}
        return next(f"s{number}" for number in count(1) if f"s{number}" not in taken)


def _title(step: Step) -> str:
    known = operations.known_operation(step.operation)
    return known.title if known else step.operation


def checked(recipe: Recipe) -> Recipe:
    """Give the recipe back if its steps may follow each other so.

    Raises
    ------
    RecipeError
        With every problem found.
    """
    problems = sequence_problems(list(enumerate(recipe.steps)))
    if problems:
        raise RecipeError(problems)
    return recipe


def sequence_problems(steps: Sequence[tuple[int, Step]]) -> list[Problem]:
    """Say what is wrong with the order of steps, each given with its place in the recipe."""
    first = operations.OPERATIONS[0]
    problems: list[Problem] = []
    if not steps or (steps[0][0] == 0 and steps[0][1].operation != first.name):
        problems.append(("steps", f"must start with {first.name}, the step that brings the sculpt in"))
    places: dict[str, int] = {}
    seen: dict[str, int] = {}
    latest: Operation[Any] | None = None
    for index, step in steps:
        path = f"steps[{index}]"
        if step.id in places:
            there = f"steps[{places[step.id]}]"
            problems.append((f"{path}.id", f"is {step.id}, as that of {there}; ids must differ"))
        places.setdefault(step.id, index)
        operation = operations.known_operation(step.operation)
        if operation is None:
            continue
        if operation.name in seen and not operation.repeatable:
            there = f"steps[{seen[operation.name]}]"
            problems.append((path, f"is a second {operation.name} beside {there}; there may be only one"))
        seen.setdefault(operation.name, index)
        if latest is not None and operation.order < latest.order:
            problems.append((path, f"is {operation.name}, which belongs before {latest.name}; move it up"))
        else:
            latest = operation
    return problems
