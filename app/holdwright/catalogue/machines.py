"""What prints holds, as the tables give it."""

from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field

from holdwright.catalogue.materials import Range
from holdwright.catalogue.tables import NamedRow, as_tuple, row

Speed = Annotated[float, Field(gt=0.0, le=2000.0)]


def _extents(volume: tuple[float, float, float]) -> tuple[float, float, float]:
    if not all(0.0 < length <= 5000.0 for length in volume):
        raise ValueError("a build volume has three lengths above 0 and up to 5000 mm")
    return volume


@row
class Machine(NamedRow):
    """A row of a table of printers."""

    volume: Annotated[tuple[float, float, float], BeforeValidator(as_tuple), AfterValidator(_extents)]
    """Greatest width, depth and height it builds, mm."""
    enclosed: bool
    """Whether its chamber keeps warm."""
    speed: Speed
    travel: Speed
    """speed, travel: of the nozzle as it prints and as it goes from place to place, mm/s."""
    acceleration: Annotated[float, Field(gt=0.0, le=100_000.0)]
    """mm/s2."""
    corner_speed: Speed
    """Speed kept through a sharp turn, mm/s."""
    layer_change: Range
    """From one layer to the next, s."""
    flow_factor: Annotated[float, Field(ge=0.2, le=10.0)]
    """How many times what a plain nozzle melts its hot end melts."""
