"""What printing the parts of a hold takes, and as plain JSON values."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from functools import reduce
from operator import add
from typing import Any, Final

from holdwright.catalogue.catalogue import Catalogue
from holdwright.geometry.layers.layer_stack import layer_figures
from holdwright.geometry.mesh.solid import Solid
from holdwright.printing.print_estimate import PrintEstimate, print_estimate
from holdwright.printing.print_parameters import PrintParameters
from holdwright.printing.print_settings import PartSettings, part_settings
from holdwright.progress import SILENT, Progress
from holdwright.ranges import Range

BOTH: Final = "both"
"""Name of what shell and core take together."""


def all_settings(
    parts: Iterable[str], requested: PrintParameters, catalogue: Catalogue
) -> dict[str, PartSettings]:
    """Give how each of the named parts is printed; errors as of `part_settings`."""
    return {name: part_settings(requested, catalogue, name) for name in parts}


def settings_in_words(settings: Mapping[str, PartSettings]) -> list[str]:
    """Say what all parts share, then how each is printed, a clause each."""
    one = next(iter(settings.values()))
    rule = one.rule
    shared = (
        f"on '{one.machine.name}', layers of {rule.height:g} mm, lines {rule.width:g} mm wide, "
        f"{rule.passes} passes, {rule.bottom} solid layers below and {rule.top} on top"
    )
    parts = [f"{name} {each.material.name}, infill {each.infill:.0%}" for name, each in settings.items()]
    return [shared, *parts]


def part_estimates(
    parts: Mapping[str, Solid], settings: Mapping[str, PartSettings], progress: Progress = SILENT
) -> dict[str, PrintEstimate]:
    """Estimate each part by its name, and `BOTH` where there are two.

    Parameters
    ----------
    parts
        As they lie on the bed, in print size, mm.

    Raises
    ------
    GeometryError
        When a part is lower than half a layer.
    """
    found = {}
    for number, (name, solid) in enumerate(parts.items()):
        stretch = progress.part(number / len(parts), (number + 1) / len(parts))
        found[name] = print_estimate(layer_figures(solid, settings[name].rule, stretch), settings[name])
    return with_both(found)


def with_both(found: Mapping[str, PrintEstimate]) -> dict[str, PrintEstimate]:
    """Add what parts take together, where there are several."""
    return dict(found) if len(found) < 2 else {**found, BOTH: reduce(add, found.values())}


def plain_estimates(requested: PrintParameters, estimates: Mapping[str, PrintEstimate]) -> dict[str, Any]:
    """Give settings and estimates as plain values: g, m, s and the currency of the filament's price."""
    return {
        "settings": requested.model_dump(mode="json"),
        **{
            name: {
                "mass_g": _rounded(each.mass),
                "filament_m": _rounded(each.filament),
                "time_s": _rounded(each.time),
                "cost": _rounded(each.cost),
            }
            for name, each in estimates.items()
        },
    }


def _rounded(value: Range) -> dict[str, float]:
    return {name: float(f"{each:.4g}") for name, each in asdict(value).items()}
