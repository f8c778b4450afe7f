"""What separates the size a hold is printed in from the size it has on the wall, each allowance apart."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, ClassVar

import numpy as np
from pydantic import Field

from holdwright.catalogue.catalogue import Catalogue
from holdwright.field_texts import add_field_texts
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import scaling
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Envelope, Feature, Rim, ScrewHole
from holdwright.hold.finding import Point, point
from holdwright.hold.hold import Hold
from holdwright.printing.print_parameters import PrintParameters
from holdwright.printing.print_settings import part_material
from holdwright.ranges import Range


@dataclass(frozen=True)
class Shrinkage:
    """How much a part shrinks as it cools, and what it is therefore made larger by."""

    __pydantic_config__: ClassVar = {"json_schema_extra": add_field_texts}

    percent: Range
    """What is likely is allowed for; low and high are how far the size may then be off."""
    factor: float
    """What every length of the part is multiplied by."""

    @classmethod
    def of(cls, percent: Range) -> "Shrinkage":
        """Allow for the likely percentage."""
        return cls(percent, 1.0 / (1.0 - percent.likely / 100.0))


@dataclass(frozen=True)
class HoleAllowance:
    """What a hole is wider by than its bolt or screw needs, as holes print narrow."""

    x: float
    y: float
    """Where its axis meets the finished back, with x."""
    screw: str
    """Name of the catalogue row."""
    allowance: float
    """Part of the diameters that the features have."""


@dataclass(frozen=True)
class Allowances:
    """Both sizes of a hold along x, y and z, and what makes the difference; mm."""

    __pydantic_config__: ClassVar = {"json_schema_extra": add_field_texts}

    true_size: Annotated[Point, Field(description="On the wall: shrunk, and sanded down to its back.")]
    print_size: Annotated[Point, Field(description="As in the files: larger by shrinkage and sanding stock.")]
    shrinkage: dict[str, Shrinkage]
    """Of each part."""
    sanding_stock: float
    """What is to be sanded off below the finished back, true size."""
    holes: tuple[HoleAllowance, ...]
    """Of each bore and screw hole that has one, true size."""

    @property
    def in_words(self) -> list[str]:
        """Every allowance that there is, a clause each."""
        words: list[str] = []
        shrunk: dict[tuple[float, float], list[str]] = {}
        for name, each in self.shrinkage.items():
            shrunk.setdefault((each.percent.likely, each.factor), []).append(name)
        for (percent, factor), names in shrunk.items():
            whose = "" if len(shrunk) == 1 else f" of the {' and '.join(names)}"
            words += [f"{percent:g} % shrinkage{whose} (factor {factor:.5f})"] if percent else []
        words += [f"{self.sanding_stock:g} mm of sanding stock"] if self.sanding_stock else []
        wider = sorted({each.allowance for each in self.holes})
        return words + ([f"holes wider by {' and '.join(f'{each:g}' for each in wider)} mm"] if wider else [])


def allowances_of(
    features: Sequence[Feature],
    bounds: Mapping[str, Floats],
    requested: PrintParameters,
    catalogue: Catalogue,
) -> Allowances:
    """Give all allowances of a hold.

    Parameters
    ----------
    features
        Of the hold.
    bounds
        (2, 3) least and greatest corner of each part by its name, true size, mm; at least one.

    Raises
    ------
    CatalogueError, ParameterError
        When a material's shrinkage is asked for that the tables do not have.
    """
    typed = max((each.shrinkage_percent for each in features if isinstance(each, Envelope)), default=0.0)
    shrinkage = {name: Shrinkage.of(_percent(typed, requested, catalogue, name)) for name in bounds}
    rims = [each for each in features if isinstance(each, Rim)]
    low, high = _around(list(bounds.values()))
    if rims:  # stock below the back is sanded off
        low[2] = max(low[2], 0.0)
    print_low, print_high = _around([each * shrinkage[name].factor for name, each in bounds.items()])
    return Allowances(
        point(high - low),
        point(print_high - print_low),
        shrinkage,
        rims[-1].allowance if rims else 0.0,
        tuple(
            HoleAllowance(each.x, each.y, each.screw, each.allowance)
            for each in features
            if isinstance(each, Bore | ScrewHole) and each.allowance
        ),
    )


def hold_allowances(hold: Hold, requested: PrintParameters, catalogue: Catalogue) -> Allowances:
    """Give all allowances of a hold with solids; as `allowances_of`."""
    bounds = {name: solid.bounds for name, solid in hold.solids.items()}
    return allowances_of(hold.features, bounds, requested, catalogue)


def in_print_size(solids: Mapping[str, Solid], allowances: Allowances) -> dict[str, Solid]:
    """Give solids, by name, larger by their factors about x = y = z = 0."""
    factors = {name: allowances.shrinkage[name].factor for name in solids}
    return {
        name: solid if factors[name] == 1.0 else solid.moved(scaling(factors[name]))
        for name, solid in solids.items()
    }


def _percent(typed: float, requested: PrintParameters, catalogue: Catalogue, part: str) -> Range:
    if requested.shrinkage == "as typed":
        return Range(typed, typed, typed)
    return Range.between(part_material(requested, catalogue, part)[1].shrinkage)


def _around(bounds: Sequence[Floats]) -> tuple[Floats, Floats]:
    corners = np.array(bounds)
    return corners[:, 0].min(axis=0), corners[:, 1].max(axis=0)
