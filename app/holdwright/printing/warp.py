"""How far the corners of a printed part may lift from the bed as it cools: a rough estimate.

What cools above shrinks, and what the bed keeps warm below does not yet: so a part bends like a strip of two
metals. The curvature is a share of shrinkage over height; how the bed holds a part is not known, and not
counted. Published tests of printed blocks find the largest lift at middle heights (A. Armillotta, M. Bellotti
and M. Cavallaro, Warpage of FDM parts, Robotics and Computer-Integrated Manufacturing 50, 2018).
"""

import math
from dataclasses import dataclass
from typing import Literal

from holdwright.geometry.layers.bed_contact import BedContact, LiftPlace
from holdwright.printing.print_settings import PartSettings
from holdwright.ranges import Range

Grade = Literal["little", "some", "much"]

SOME, MUCH = 0.3, 1.0
"""Lift that is seen when the hold lies on a wall, and that is sanded for long, mm: common practice, no
source."""

STRIP, GRADIENT = 1.5, 1.0
"""Curvature by shrinkage over height: of a strip of two equal halves, the most there is (S. Timoshenko,
Analysis of bi-metal thermostats, J. Opt. Soc. Am. 11, 1925), and where shrinkage grows evenly with height."""

LAYERED = 6.0
"""The same by layers over the part's, where each layer bends all below it (T.-M. Wang, J.-T. Xi, Y. Jin, A
model research for prototype warp deformation in the FDM process, Int. J. Adv. Manuf. Technol. 33, 2007;
from memory)."""

WARM = 10.0
"""What is lower than this the bed keeps warm as a whole, so that it bends no more, mm: our choice."""

OPEN, ENCLOSED = Range(30.0, 25.0, 20.0), Range(60.0, 50.0, 40.0)
"""Air round the part, degrees Celsius, the warmest lifting least: common practice, no source."""

STOCK_STEP = 0.5
"""Stock for sanding is proposed in steps of so many mm."""


@dataclass(frozen=True)
class Lift:
    """What may lift from the bed."""

    at: LiftPlace
    height: Range
    """mm."""
    mass: float
    """Of the part over it, printed solid, g."""

    @property
    def grade(self) -> Grade:
        """How much that is, by what is likely."""
        return "little" if self.height.likely < SOME else "some" if self.height.likely < MUCH else "much"


@dataclass(frozen=True)
class Warp:
    """What a part may lift."""

    contact: BedContact
    shrinkage: Range
    """Share of length lost between the bed's warmth and the air's."""
    lifts: tuple[Lift, ...]
    """The highest first, at least one."""

    @property
    def worst(self) -> Lift:
        """What lifts most."""
        return self.lifts[0]

    @property
    def stock(self) -> float:
        """What is to be left on the back for sanding, mm; 0 where it likely lies flat enough."""
        likely = self.worst.height.likely
        return math.ceil(likely / STOCK_STEP) * STOCK_STEP if likely >= SOME else 0.0


def shrinkage(settings: PartSettings, enclosed: bool) -> Range:
    """Give what the part's material shrinks by as it bends, a share of its length.

    Notes
    -----
    Expansion times the fall from the glass transition to the air, or what the table of settings has of it,
    whichever is more: semicrystalline plastics shrink as they crystallise, too. In an enclosure the latter
    falls by what the air is nearer to the bed. Rubbers bend so little that they count as not shrinking.
    """
    material, plastic = settings.material, settings.plastic
    if plastic.warp == "none":
        return Range(0.0, 0.0, 0.0)
    air = ENCLOSED if enclosed else OPEN
    bed = sum(plastic.bed) / 2.0
    share = max(bed - air.likely, 0.0) / max(bed - OPEN.likely, 1.0)
    table = Range.by(lambda percent: percent / 100.0 * share, Range.between(plastic.shrinkage))
    if material.expansion is None or material.glass_transition is None:
        return table
    thermal = Range.by(
        lambda expansion, setting, around: expansion * 1e-6 * max(setting - around, 0.0),
        Range.between(material.expansion),
        Range.between(material.glass_transition),
        air,
    )
    return Range.by(max, thermal, table)


def lift(shrunk: Range, arm: float, height: float, layer: float) -> Range:
    """Give how far a place lifts: curvature times half the square of its distance from the middle, mm.

    Parameters
    ----------
    shrunk
        Share of length.
    arm
        Its distance from the middle of the base, mm: half the length of a bar.
    height
        Of the part there, mm.
    layer
        Height of a layer, mm.
    """
    bent = max(height, WARM)
    shares = Range(min(LAYERED * layer / bent, GRADIENT), GRADIENT, STRIP)
    return Range.by(lambda share, loss: share * loss / bent * arm * arm / 2.0, shares, shrunk)


def warp(contact: BedContact, settings: PartSettings, enclosed: bool | None = None) -> Warp:
    """Estimate what lifts of a part.

    Parameters
    ----------
    contact
        How it stands on the bed.
    settings
        How it is printed.
    enclosed
        Whether the chamber keeps warm; None: as the printer has it.
    """
    shrunk = shrinkage(settings, settings.machine.enclosed if enclosed is None else enclosed)
    lifts = [
        Lift(
            each,
            lift(shrunk, each.arm, each.height, settings.rule.height),
            each.volume * settings.material.density / 1000.0,
        )
        for each in contact.places
    ]
    return Warp(contact, shrunk, tuple(sorted(lifts, key=lambda each: -each.height.likely)))
