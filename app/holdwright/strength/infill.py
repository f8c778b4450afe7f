"""How stiff and strong infill is, by the share of the inside that it fills.

Figures are by those of the same material printed solid. Gyroid: our own computations of a periodic cell,
linear elastic, 0.068, 0.115 and 0.245 of the modulus at 20, 30 and 50 %, and where it first yields; that it
is nearly the same in all directions: Applied Sciences 2022, 12, 2180. Cubic: our own cell at 33 %, 0.25
along its axes and 0.14 along the diagonal, taken as proportional to the share as of a lattice whose walls
are stretched (Gibson and Ashby, Cellular Solids, from memory); what it bears is taken to fall as its
modulus does. A grid has 0.014 of the modulus at 45 degrees, so that no one figure stands for it: it is not
offered.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from holdwright.errors import ParameterError
from holdwright.ranges import Range

SOLID: Final = 1.0
"""What is filled wholly is solid."""

_ONE: Final = Range(1.0, 1.0, 1.0)


@dataclass(frozen=True)
class InfillLaw:
    """A power of the share filled, by a range of factors."""

    modulus_factor: Range
    modulus_power: float
    strength_factor: Range
    strength_power: float
    valid: tuple[float, float]
    """Least and greatest share that it is good for, solid apart."""

    def modulus(self, share: float) -> Range:
        """Modulus by that of the solid."""
        return _law(self.modulus_factor, self.modulus_power, share)

    def strength(self, share: float) -> Range:
        """Mean stress at which it first yields, by what the solid bears."""
        return _law(self.strength_factor, self.strength_power, share)

    def covers(self, share: float) -> bool:
        """Tell whether the law is good for such a share."""
        return share >= SOLID or self.valid[0] <= share <= self.valid[1]


LAWS: Final[Mapping[str, InfillLaw]] = {
    "gyroid": InfillLaw(Range(0.55, 0.65, 0.72), 1.4, Range(0.34, 0.48, 0.58), 1.1, (0.15, 0.6)),
    "cubic": InfillLaw(Range(0.42, 0.58, 0.76), 1.0, Range(0.30, 0.45, 0.70), 1.0, (0.2, 0.5)),
}
"""By pattern. Ends of ranges hold our own computations; of strengths they are wider by a quarter or more for
faults of the print: common practice, no source."""


def infill_law(pattern: str, share: float, part: str) -> InfillLaw:
    """Give the law for a pattern at a share from 0 to 1.

    Raises
    ------
    ParameterError
        Where there is none, or it is not good for that; the sentence names the part.
    """
    law = LAWS.get(pattern)
    if law is None:
        known = ", ".join(LAWS)
        raise ParameterError(
            f"The strength of {pattern} infill was asked for, but there is no law for it; choose {known}."
        )
    if not law.covers(share):
        low, high = law.valid
        raise ParameterError(
            f"The strength of a {part} with {share:.0%} of {pattern} infill was asked for, but the law holds "
            f"from {low:.0%} to {high:.0%} and for 100%; choose an infill of those."
        )
    return law


def _law(factor: Range, power: float, share: float) -> Range:
    return _ONE if share >= SOLID else Range.by(lambda each: min(each * share**power, 1.0), factor)
