"""What holds are printed in, as the tables give it."""

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from holdwright.catalogue.tables import NamedRow, Row, Text, as_tuple, row


def _rising(pair: tuple[float, float]) -> tuple[float, float]:
    if pair[0] > pair[1]:
        raise ValueError(f"the lowest, {pair[0]:g}, is above the highest, {pair[1]:g}")
    return pair


def _in_order(three: tuple[float, float, float]) -> tuple[float, float, float]:
    low, likely, high = three
    if not 0.0 < low <= likely <= high:
        raise ValueError(
            f"lowest, likely and highest must rise and lie above 0, not {low:g}, {likely:g}, {high:g}"
        )
    return three


Range = Annotated[tuple[float, float], BeforeValidator(as_tuple), AfterValidator(_rising)]
Spread = Annotated[tuple[float, float, float], BeforeValidator(as_tuple), AfterValidator(_in_order)]
"""Lowest, likely and highest."""
Share = Annotated[float, Field(gt=0.0, le=1.0)]
Degree = Literal["none", "low", "medium", "high"]


@row
class MaterialNote(Row):
    """A row that says more of a material, named after it."""

    material: Text

    @property
    def name(self) -> str:
        """The material's."""
        return self.material


@row
class Creep(MaterialNote):
    """A row of a table of what a material bears under a bolt."""

    short_share: Share
    sustained_share: Share
    """short_share, sustained_share: shares of its least yield stress that a seat may bear for a moment, and
    for years."""
    residual_preload: Share
    """Share of a bolt's preload that is likely left once the material has crept."""
    residual_range: Range | None = None
    """The least and most of it; None where only that one is known."""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.sustained_share > self.short_share:
            raise ValueError("sustained_share is above short_share")
        low, high = self.residual_range or (self.residual_preload, self.residual_preload)
        if not 0.0 < low <= self.residual_preload <= high <= 1.0:
            raise ValueError("residual_range must have residual_preload in it, and lie above 0 and up to 1")
        return self


@row
class PrintSetting(MaterialNote):
    """A row of a table of how materials print."""

    shrinkage: Range
    """%, lowest and highest."""
    moisture: Degree
    warp: Degree
    """moisture, warp: how much it takes up, and how readily it warps."""
    nozzle: Range
    bed: Range
    """nozzle, bed: temperatures, degrees Celsius."""
    cost: Range
    """Euro per kg."""
    z_share: Range
    """Strength across layers as a share of that along them."""
    flow: Range
    """What a plain nozzle of 0.4 mm melts, mm3/s."""


@row
class PrintedStrength(MaterialNote):
    """A row of a table of what materials bear once printed solid: short term, dry, at room temperature."""

    along: Spread
    across: Spread
    """along, across: strength in tension along a layer, and pulling layers apart, MPa."""
    modulus: Spread
    """GPa."""


@row
class MaterialRow(NamedRow):
    """A row of a table of materials; ranges are lowest and highest."""

    density: Annotated[float, Field(gt=0.0, lt=25.0)]
    """g/cm3."""
    tensile: Range
    modulus: Range
    """GPa."""
    yield_stress: Range | None = None
    """tensile, yield_stress: MPa, of moulded material; yield None where it has none, as rubber."""
    glass_transition: Range | None = None
    heat_deflection: Range | None = None
    """glass_transition, heat_deflection: degrees Celsius, None where not known."""
    elongation: Range | None = None
    """At break, %."""
    expansion: Range | None = None
    """1e-6 per degree."""


@row
class Material(MaterialRow):
    """A material: what it bears under a bolt and printed, and how it prints; None where no row says."""

    creep: Creep | None = None
    print_setting: PrintSetting | None = None
    printed_strength: PrintedStrength | None = None

    @property
    def allowable_sustained(self) -> float | None:
        """Pressure a bolt's seat may bear for years, MPa, from the least yield stress; None where unknown."""
        return self._allowable(self.creep.sustained_share) if self.creep else None

    @property
    def allowable_short(self) -> float | None:
        """Pressure a bolt's seat may bear for a moment, MPa; None where unknown."""
        return self._allowable(self.creep.short_share) if self.creep else None

    def _allowable(self, share: float) -> float | None:
        return share * self.yield_stress[0] if self.yield_stress else None
