"""What an export is asked for besides parts and formats."""

from dataclasses import dataclass
from typing import Final

from holdwright.errors import ParameterError
from holdwright.export.pose import PoseName
from holdwright.sheet.choice import SheetChoice

USUAL_BRIM: Final = 5.0
"""Width of a brim, mm: common practice, no source."""

WIDEST_BRIM: Final = 50.0
"""No brim is wider, mm."""


@dataclass(frozen=True)
class ExportOptions:
    """How the parts lie in the files, and whose they are.

    Raises
    ------
    ParameterError
        When a brim has no sensible width.
    """

    pose: PoseName = "print"
    tabs: bool = False
    """Whether corner tabs are written, as parts of their own."""
    designer: str = ""
    licence: str = ""
    """designer, licence: as typed, for the 3MF file; blank for none."""
    sheet: SheetChoice | None = None
    """The work sheet to be written; None for none."""
    brim: float = 0.0
    """Width of the brim that is written, as a part of its own, mm; 0 for none."""

    keep: bool = False
    """Whether the recipe and pictures are written too, to be kept with the hold."""
    strength: bool = False
    """Whether its strength stands in report and work sheet."""

    def __post_init__(self) -> None:
        if not 0.0 <= self.brim <= WIDEST_BRIM:
            raise ParameterError(
                f"A brim {self.brim:g} mm wide was requested; choose up to {WIDEST_BRIM:g} mm, or 0 for none."
            )


USUAL: Final = ExportOptions()
