"""What a bolt meets besides the hold: T-nut, panel, wood screw, torque and load, as the tables tell."""

import math
from typing import Annotated, Self

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from holdwright.catalogue.fasteners import Profile
from holdwright.catalogue.tables import NamedRow, Size, Text, as_tuple, row
from holdwright.ranges import Range

Stress = Annotated[float, Field(gt=0.0, lt=10_000.0)]
Coefficient = Annotated[float, Field(gt=0.0, lt=2.0)]


def _rising(values: tuple[float, ...]) -> tuple[float, ...]:
    if sorted(values) != list(values):
        raise ValueError("its least, likely and greatest must rise in this order, in MPa")
    return values


Strength = Annotated[tuple[Stress, Stress, Stress], BeforeValidator(as_tuple), AfterValidator(_rising)]


@row
class StrengthClass(NamedRow):
    """A row of a table of strength classes: proof, yield and tensile stress of the screw, MPa."""

    standard: Text
    profile: Profile
    proof: Stress
    yield_stress: Stress
    tensile: Stress

    @model_validator(mode="after")
    def _rising(self) -> Self:
        if not self.proof <= self.yield_stress <= self.tensile:
            raise ValueError("proof, yield_stress and tensile must rise in this order, in MPa")
        return self


@row
class _Spread(NamedRow):
    low: Coefficient
    nominal: Coefficient
    high: Coefficient

    @model_validator(mode="after")
    def _rising(self) -> Self:
        if not self.low <= self.nominal <= self.high:
            raise ValueError("low, nominal and high must rise in this order")
        return self

    @property
    def range(self) -> Range:
        """The three as one."""
        return Range(self.low, self.nominal, self.high)


@row
class NutFactor(_Spread):
    """A row of a table of nut factors: K of T = K F d, with the range to compute with."""


@row
class Friction(_Spread):
    """A row of a table of friction coefficients between hold and wall, with the range to compute with."""


@row
class LoadCase(NamedRow):
    """A row of a table of load cases: how many times the climber's weight acts on the hold."""

    factor: Annotated[float, Field(gt=0.0, le=20.0)]
    mass: Annotated[float, Field(gt=0.0, le=500.0)] | None = None
    """Of the climber, kg; None for the mass that is requested."""
    description: Text

    def times(self, mass: float, factor: float) -> float:
        """How many times it is of the load of a mass (kg) that acts so many times."""
        return (self.mass or mass) * self.factor / (mass * factor)


@row
class TNut(NamedRow):
    """A row of a table of T-nuts, lengths in mm."""

    thread: Text
    barrel: Size
    barrel_diameter: Size
    """barrel, barrel_diameter: of the threaded barrel within the panel, its flange against the panel's
    back."""
    flange: Size
    """Diameter of the flange."""
    openings: Annotated[float, Field(ge=0.0)] = 72.0
    """Of the flange, mm2: holes for screws, or where prongs are bent out of it; 4 prongs of 3 by 6 where a
    row does not tell."""

    @model_validator(mode="after")
    def _bears(self) -> Self:
        if self.bearing_area <= 0.0:
            raise ValueError("flange must be wider than barrel_diameter and its openings, in mm and mm2")
        return self

    @property
    def bearing_area(self) -> float:
        """What of the flange lies on the panel round the barrel's hole, mm2."""
        return math.pi / 4.0 * (self.flange**2 - self.barrel_diameter**2) - self.openings


@row
class Panel(NamedRow):
    """A row of a table of panels: thickness in mm, density in g/cm3."""

    thickness: Size
    density: Annotated[float, Field(gt=0.0, lt=25.0)]
    modulus_across: Annotated[float, Field(gt=0.0, lt=500.0)] = 0.6
    """Square to its face, GPa: far less than along it."""
    bearing: Strength = (4.0, 5.4, 6.7)
    rolling_shear: Strength = (1.2, 2.0, 3.0)
    """bearing, rolling_shear: least, likely and greatest stress square to its face that it bears on all of
    it, and shear between its plies, MPa. Where a row does not tell, these three are plywood's."""

    def bears(self, width: float) -> Range:
        """Give what it bears under a round plate (mm), MPa.

        What is pressed there spreads through the panel, the area by which it bears more: at 45 degrees before
        it sinks in, at 1.5 out for 1 deep once it has by a tenth (van der Put, Heron 53, 2008, from memory);
        at most 4 times (EN 1995-1-1 6.1.5, from memory). Cross plies spread it to all sides.
        """
        wider = (min(1.0 + 2.0 * out * self.thickness / width, 4.0) for out in (1.0, 1.0, 1.5))
        return Range(*(stress * factor for stress, factor in zip(self.bearing, wider, strict=True)))


@row
class WoodScrew(NamedRow):
    """A row of a table of wood screws, lengths in mm."""

    shank: Size
    root: Size
    """shank, root: diameter over the thread and in its root."""
    head_diameter: Size
    head_angle: Annotated[float, Field(ge=60.0, le=120.0)]
    """head_diameter, head_angle: of the countersunk head; its angle in degrees."""
    clearance: Size
    mouth: Size
    """clearance, mouth: diameter of the hole through the hold, and of the countersink's mouth."""
    pilot: Size
    """Diameter of the pilot hole in the panel."""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.pilot < self.shank < self.clearance < self.mouth or self.root >= self.shank:
            raise ValueError("pilot, shank, clearance, mouth must rise in this order; root is below shank")
        return self
