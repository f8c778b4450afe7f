"""Judges the joint of a finished hold, wherever its recipe was replayed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import hypot
from typing import Final, Protocol

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError, HoldwrightError
from holdwright.hold.feature import Bore, Rim
from holdwright.hold.finding import Finding, Severity
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.hold import WHOLE, Hold
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.card.joint_card import JointCard, joint_cards
from holdwright.joint.conditions import ShellFill, conditions
from holdwright.joint.holding.joint_shape import JointShape, joint_shape
from holdwright.joint.joint_parameters import JointParameters
from holdwright.operations.base import OperationCache
from holdwright.printing.print_parameters import PrintParameters

_WEIGHT: Final = 200_000
"""Bytes that a measured shape about takes."""


class DoneStep(Protocol):
    """A step's result."""

    @property
    def id(self) -> str:
        """Of the step."""

    @property
    def key(self) -> str:
        """Names the result by what it was made from."""

    @property
    def hold(self) -> Hold:
        """After the step."""


@dataclass(frozen=True, eq=False)
class JointVerdict:
    """A joint as its recipe has it judged."""

    shape: JointShape | None = None
    cards: tuple[JointCard, ...] = ()
    """shape, cards: None and empty where the joint cannot be computed: a finding says why."""
    findings: Mapping[str, tuple[Finding, ...]] = field(default_factory=dict)
    """By the id of the step whose bore they concern; places in the frame of the hold after that step."""

    @property
    def safeties(self) -> dict[str, float]:
        """The hold's safeties, all its bolts together, by what they are against, of those computed."""
        if not self.cards:
            return {}
        card = self.cards[0]
        figures = {
            "turning": card.spin,
            "slip": card.slip,
            "lift": card.lift,
            "overturning": card.overturning,
        }
        return {name: each.value for name, each in figures.items() if each.value is not None}


def joint_verdict(
    steps: Sequence[DoneStep],
    requested: JointParameters,
    catalogue: Catalogue,
    cache: OperationCache | None = None,
    *,
    printed: PrintParameters,
) -> JointVerdict | None:
    """Judge the joint of the hold that all steps of a recipe have made.

    Parameters
    ----------
    printed
        How its shell is filled.

    Returns
    -------
    JointVerdict | None
        None where there is no joint yet; see `why_not_judged`.
    """
    hold = steps[-1].hold if steps else Hold()
    if why_not_judged(hold):
        return None
    bores = hold.find(Bore)
    shape: JointShape | None = None
    cards: tuple[JointCard, ...] = ()
    try:
        shape = measured_shape(steps[-1].key, hold, cache, _whole_before(steps))
        cards = joint_cards(shape, conditions(catalogue, requested, fill=shell_fill(printed)), catalogue)
        findings = joint_findings(cards)
    except HoldwrightError as error:
        grave: Severity | None = "error" if isinstance(error, GeometryError) else None
        at = bores[0].x, bores[0].y, 0.0
        findings = (new_finding("joint_not_judged", where=at, severity=grave, reason=str(error).rstrip(".")),)
    return JointVerdict(shape, cards, _by_step(steps, findings))


def shell_fill(printed: PrintParameters) -> ShellFill:
    """Give what a joint needs to know of how the shell is printed."""
    wall, floor = printed.passes * printed.line_width, printed.bottom_layers * printed.layer_height
    return ShellFill(printed.shell_infill / 100.0, wall, floor)


def why_not_judged(hold: Hold) -> str:
    """Say why a hold has no joint to judge; blank where it has one."""
    for needed, found, step in ((Bore, "bore", "Cut bore"), (Rim, "finished back", "Trim base")):
        if not hold.find(needed):
            return f"The hold has no {found}, so that there is no joint to judge; add a step {step}."
    return ""


def measured_shape(
    key: str, hold: Hold, cache: OperationCache | None, whole: Hold | None = None
) -> JointShape:
    """Measure the joint of the hold of a key, or remember it; errors as of `joint_shape`.

    Parameters
    ----------
    whole
        The hold before it was split, where that is at hand.
    """
    kept = cache.get(JointParameters.name, key) if cache is not None else None
    if isinstance(kept, JointShape):
        return kept
    shape = joint_shape(hold, whole)
    if cache is not None:
        cache.put(JointParameters.name, key, shape, _WEIGHT)
    return shape


def _whole_before(steps: Sequence[DoneStep]) -> Hold | None:
    """Give the last whole hold: shell and core fill it without gap."""
    return next((step.hold for step in reversed(steps) if WHOLE in step.hold.solids), None)


def _by_step(steps: Sequence[DoneStep], findings: Sequence[Finding]) -> dict[str, tuple[Finding, ...]]:
    """Give each finding to the step that cut the bore it is nearest to."""
    last, cut_by = steps[-1].hold, _cut_by(steps)
    bores, found = last.find(Bore), dict[str, tuple[Finding, ...]]()
    for finding in findings:
        x, y, _ = finding.where or (0.0, 0.0, 0.0)
        nearest = min(range(len(bores)), key=lambda each: hypot(bores[each].x - x, bores[each].y - y))
        step = cut_by[nearest]
        moved = finding.moved(step.hold.placement @ np.linalg.inv(last.placement))
        found[step.id] = (*found.get(step.id, ()), moved)
    return found


def _cut_by(steps: Sequence[DoneStep]) -> list[DoneStep]:
    """Give the step that cut each bore."""
    found: list[DoneStep] = []
    for step in steps:
        found += [step] * (len(step.hold.find(Bore)) - len(found))
    return found
