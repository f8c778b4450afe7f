"""What an export is asked for besides parts and formats."""

from dataclasses import dataclass
from typing import Final

from holdwright.export.pose import PoseName


@dataclass(frozen=True)
class ExportOptions:
    """How the parts lie in the files, and whose they are."""

    pose: PoseName = "print"
    tabs: bool = False
    """Whether corner tabs are written, as parts of their own."""
    designer: str = ""
    licence: str = ""
    """designer, licence: as typed, for the 3MF file; blank for none."""


USUAL: Final = ExportOptions()
