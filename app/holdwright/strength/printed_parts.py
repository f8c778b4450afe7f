"""How stiff and strong the printed parts of a hold are: skin, infill and solid core."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from holdwright.catalogue.catalogue import Catalogue, look_up
from holdwright.catalogue.materials import PrintedStrength
from holdwright.errors import ParameterError
from holdwright.printing.print_parameters import PrintParameters
from holdwright.ranges import Range
from holdwright.strength.infill import SOLID, InfillLaw, infill_law

MPA_IN_GPA: Final = 1000.0

DIRECTIONS: Final = {"z": (0.0, 0.0, 1.0), "x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0)}
"""What lies across the layers, by how the hold is printed; frame of the hold."""


@dataclass(frozen=True)
class PrintedPart:
    """How a part is printed, as its strength goes by it."""

    material: str
    strength: PrintedStrength
    """material, strength: name of the row, and the row."""
    share: float
    """Of its inside that is filled, 0 to 1."""
    law: InfillLaw
    skin: float
    """Thickness of what is solid along its outlines, mm."""

    @property
    def modulus(self) -> Range:
        """Of what is solid, MPa."""
        return Range.by(lambda each: each * MPA_IN_GPA, Range(*self.strength.modulus))

    @property
    def infill_modulus(self) -> Range:
        """Of its inside, by that of what is solid."""
        return self.law.modulus(self.share)

    @property
    def infill_strength(self) -> Range:
        """Of its inside, by that of what is solid."""
        return self.law.strength(self.share)

    @property
    def is_solid(self) -> bool:
        """Whether it is filled wholly."""
        return self.share >= SOLID

    @property
    def in_words(self) -> str:
        """As "PETG, 2 mm skin, 35 % infill"."""
        inside = "solid" if self.is_solid else f"{self.skin:g} mm skin, {100 * self.share:.3g} % infill"
        return f"{self.material}, {inside}"


def printed_parts(
    names: Iterable[str], requested: PrintParameters, catalogue: Catalogue
) -> dict[str, PrintedPart]:
    """Give how the named parts are printed; a part that is not the core is printed as the shell.

    Raises
    ------
    CatalogueError
        When the tables lack the material.
    ParameterError
        When they do not tell what it bears, or the infill is outside the laws.
    """
    return {name: _part(name, requested, catalogue) for name in names}


def strength_of(name: str, catalogue: Catalogue) -> tuple[str, PrintedStrength]:
    """Give the full name of a material and what it bears once printed; errors as of `printed_parts`."""
    material = look_up(catalogue.materials, name, "material")
    if material.printed_strength is None:
        raise ParameterError(
            f"The strength of a hold of '{material.name}' was asked for, but the tables do not tell what "
            "that bears once printed; choose another, or add its printed strength to your own tables."
        )
    return material.name, material.printed_strength


def _part(name: str, requested: PrintParameters, catalogue: Catalogue) -> PrintedPart:
    core = name == "core"
    percent = requested.core_infill if core else requested.shell_infill
    material = requested.core_material if core else requested.shell_material
    law = infill_law(requested.infill_pattern, percent / 100.0, name)
    return PrintedPart(
        *strength_of(material, catalogue), percent / 100.0, law, requested.passes * requested.line_width
    )
