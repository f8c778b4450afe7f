"""What changed from one finished hold to another, in plain figures."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from holdwright.hold.feature import Bore, Feature, Rim
from holdwright.hold.finding import Finding
from holdwright.pipeline.replaying.replay import StepSummary
from holdwright.printing.print_estimate import PrintEstimate
from holdwright.ranges import adding_up

Found = tuple[str, Finding]
"""A finding with the id of the step that found it."""

_WORDS: Final = {
    "width": ("wider", "narrower"),
    "height": ("taller", "shorter"),
    "depth": ("deeper", "shallower"),
    "volume": ("more", "less"),
}
"""The words for what grew, and for what shrank."""

_DECIMALS: Final = {"mm": 1, "cm3": 1, "g": 0, "": 2}
"""Places shown of a figure, by its unit."""


@dataclass(frozen=True)
class FinishedState:
    """What of a finished hold is compared."""

    figures: dict[str, tuple[float, str]]
    """Value and unit ("mm", "cm3", "g", "" for a safety) by name: width, height and depth along x, y and z as
    on the wall, volume, then the margins."""
    findings: tuple[Found, ...]
    operations: Mapping[str, str] = field(default_factory=dict)
    """Operation of each of its steps, by id."""


@dataclass(frozen=True)
class FigureChange:
    """A figure before and after; None where there is none."""

    name: str
    unit: str
    old: float | None
    new: float | None

    @property
    def change(self) -> float:
        """New less old, both as they are written: what does not show is no change."""
        if self.old is None or self.new is None:
            return 0.0
        places = _DECIMALS[self.unit]
        return round(round(self.new, places) - round(self.old, places), places)

    @property
    def written(self) -> tuple[str, str, str]:
        """Old, new and change as text; a dash for what there is not."""
        return self._text(self.old), self._text(self.new), self._text(self.change or None, signed=True)

    def _text(self, value: float | None, *, signed: bool = False) -> str:
        if value is None:
            return "-"
        return f"{value:{'+' if signed else ''}.{_DECIMALS[self.unit]}f} {self.unit}".rstrip()


@dataclass(frozen=True)
class Comparison:
    """What changed."""

    figures: tuple[FigureChange, ...]
    gained: tuple[Found, ...]
    lost: tuple[Found, ...]
    """gained, lost: findings of the new hold that the old one had not, by code and step, and the other way
    round."""

    @property
    def sentence(self) -> str:
        """Changes of size, volume and findings in a row, as "2.1 mm wider, 1 finding gained"."""
        clauses = [
            f"{each.written[2].lstrip('+-')} {_WORDS[each.name][each.change < 0.0]}"
            for each in self.figures
            if each.name in _WORDS and each.change
        ]
        for found, verb in ((self.gained, "gained"), (self.lost, "lost")):
            if found:
                clauses.append(f"{len(found)} finding{'s' * (len(found) > 1)} {verb}")
        return ", ".join(clauses) or "size, volume and findings as before"


def finished_state(
    steps: Sequence[StepSummary], features: Sequence[Feature], safeties: Mapping[str, float]
) -> FinishedState:
    """Give what is compared of a finished hold.

    Parameters
    ----------
    steps
        Results of all its steps, in order.
    features
        Of the hold after the last of them.
    safeties
        Of its joint, as of `JointVerdict`; empty where that could not be judged.
    """
    figures: dict[str, tuple[float, str]] = {}
    measures = steps[-1].measures if steps else None
    if measures is not None:
        low, high = np.array(measures.bounds_mm)
        # Stock below the back is sanded off.
        low[2] = max(low[2], 0.0) if any(isinstance(each, Rim) for each in features) else low[2]
        for name, side in zip(("width", "height", "depth"), (high - low).tolist(), strict=True):
            figures[name] = side, "mm"
        figures["volume"] = measures.volume_mm3 / 1000.0, "cm3"
    figures.update(_margins(features))
    figures.update({f"safety against {name}": (value, "") for name, value in safeties.items()})
    findings = tuple((step.id, finding) for step in steps for finding in step.findings)
    return FinishedState(figures, findings, {step.id: step.operation for step in steps})


def with_masses(state: FinishedState, estimates: Mapping[str, PrintEstimate]) -> FinishedState:
    """Add the likely masses of the hold's printed parts, by their names as of `part_estimates`.

    They are in whole grams, of which the parts' add up to that of both.
    """
    grams = adding_up([each.mass.likely for each in estimates.values()], _DECIMALS["g"])
    masses = {f"mass, {name}": (each, "g") for name, each in zip(estimates, grams, strict=True)}
    return replace(state, figures={**state.figures, **masses})


def compare(old: FinishedState, new: FinishedState) -> Comparison:
    """Tell what changed from one finished hold to another."""
    units = {name: unit for state in (old, new) for name, (_, unit) in state.figures.items()}
    changes = (
        FigureChange(name, unit, *(state.figures.get(name, (None,))[0] for state in (old, new)))
        for name, unit in units.items()
    )
    return Comparison(tuple(changes), _beyond(new, old), _beyond(old, new))


def _margins(features: Sequence[Feature]) -> Iterator[tuple[str, tuple[float, str]]]:
    bores = [each for each in features if isinstance(each, Bore)]
    for number, bore in enumerate(bores, 1):
        which = f"bore {number}" if len(bores) > 1 else "bore"
        yield f"thickness left under the seat of the {which}", (bore.thickness_under_seat, "mm")
        if bore.wall is not None:
            yield f"wall round the {which}", (bore.wall, "mm")


def _beyond(these: FinishedState, those: FinishedState) -> tuple[Found, ...]:
    """Give of these findings what those lack; of the same code and step each is there once.

    Steps of one recipe are known by their ids, those of two by what they do.
    """
    one_recipe = these.operations == those.operations

    def named(state: FinishedState, step: str) -> str:
        return step if one_recipe else state.operations.get(step, step)

    left = Counter((named(those, step), finding.code) for step, finding in those.findings)
    beyond = []
    for step, finding in these.findings:
        key = named(these, step), finding.code
        left[key] -= 1
        if left[key] < 0:
            beyond.append((step, finding))
    return tuple(beyond)
