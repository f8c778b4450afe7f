"""Holds to be printed, put together by hand, and what a check says of them."""

from types import MappingProxyType

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.checks import CHECKS
from holdwright.checks.check import Checked
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Feature, Rim
from holdwright.hold.hold import CORE, SHELL, WHOLE, Hold
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import SILENT

RIM = Rim(height=3.0, allowance=0.0, chamfer=0.0, area=1000.0, islands=1, holes=0)


def printed(
    solid: Solid, core: Solid | None = None, features: tuple[Feature, ...] = (RIM,), **settings: object
) -> PrintedHold:
    """A hold with its back on z = 0, and its settings: the usual ones but for those given."""
    solids = {WHOLE: solid} if core is None else {SHELL: solid, CORE: core}
    hold = Hold(solids=MappingProxyType(solids), features=features, sized=True)
    return PrintedHold.of(hold, PrintParameters(**settings), load_catalogue())


def checked(code: str, hold: PrintedHold) -> Checked:
    """What the check of a code finds."""
    return next(check for check in CHECKS if check.code == code).look(hold, SILENT)
