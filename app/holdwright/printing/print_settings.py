"""How each part of a hold is printed, with the rows of the tables that its recipe names."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi

from holdwright.catalogue.catalogue import Catalogue, look_up
from holdwright.catalogue.machines import Machine
from holdwright.catalogue.materials import Material, PrintSetting
from holdwright.errors import ParameterError
from holdwright.geometry.layers.layer_stack import LayerRule
from holdwright.printing.print_parameters import PrintParameters
from holdwright.ranges import Range

HIGHEST_LAYER = 0.8
"""A layer is at most so much of the nozzle high: common practice, no source."""

WIDEST_LINE = 2.0
"""A line is at most so many nozzles wide: common practice, no source."""

_FLOW_NOZZLE, _FLOW_POWER = 0.4, 1.3
"""What a nozzle melts grows with this power of its width: fits the 1.6 to 2 times at 0.6 mm and 2.2 to 3
times at 0.8 mm that common practice has; no source."""


@dataclass(frozen=True)
class PartSettings:
    """How one part is printed."""

    material: Material
    plastic: PrintSetting
    """material, plastic: rows of the catalogue."""
    rule: LayerRule
    infill: float
    """Share of the inside that is filled, 0 to 1."""
    price: Range
    """Of a kilogram."""
    filament: float
    """Cross-section of the filament, mm2."""
    speed: Range
    """Of the nozzle as it prints, mm/s: the machine's, or what the hot end melts; high with the high flow."""
    machine: Machine


def part_settings(requested: PrintParameters, catalogue: Catalogue, part: str) -> PartSettings:
    """Give how a part is printed; a part that is not the core is printed as the shell.

    Raises
    ------
    CatalogueError
        When the tables lack printer or material.
    ParameterError
        When the settings do not go together; the sentence names all that is wrong.
    """
    problems = list(_problems(requested))
    if problems:
        raise ParameterError("; ".join(problems) + ".")
    core = part == "core"
    material, plastic = part_material(requested, catalogue, part)
    machine = look_up(catalogue.machines, requested.machine, "printer")
    infill = requested.core_infill if core else requested.shell_infill
    price = requested.core_price if core else requested.shell_price
    height, width = requested.layer_height, requested.line_width
    wide = machine.flow_factor * (requested.nozzle / _FLOW_NOZZLE) ** _FLOW_POWER
    bead = bead_area(width, height)
    return PartSettings(
        material,
        plastic,
        LayerRule(height, width, requested.passes, requested.bottom_layers, requested.top_layers),
        infill / 100.0,
        Range.between(plastic.cost) if price is None else Range(price, price, price),
        pi / 4.0 * requested.filament**2,
        Range.by(lambda flow: min(machine.speed, flow * wide / bead), Range.between(plastic.flow)),
        machine,
    )


def part_material(
    requested: PrintParameters, catalogue: Catalogue, part: str
) -> tuple[Material, PrintSetting]:
    """Give what a part is printed in; errors as of `part_settings`."""
    name = requested.core_material if part == "core" else requested.shell_material
    material = look_up(catalogue.materials, name, "material")
    if material.print_setting is None:
        raise ParameterError(
            f"The material '{material.name}' was asked for, but the tables do not tell how it prints; choose "
            "another, or add its print setting to your own tables."
        )
    return material, material.print_setting


def bead_area(width: float, height: float) -> float:
    """Cross-section of a printed line, mm2: a rectangle with round sides, as public guides have it."""
    return (width - height) * height + pi / 4.0 * height * height if width > height else width * height


def _problems(requested: PrintParameters) -> Iterator[str]:
    nozzle, width, height = requested.nozzle, requested.line_width, requested.layer_height
    if height > HIGHEST_LAYER * nozzle + 1e-9:
        yield (
            f"Layers of {height:g} mm were asked for from a nozzle of {nozzle:g} mm, which lays at most "
            f"{HIGHEST_LAYER * nozzle:g} mm; choose thinner layers or a wider nozzle"
        )
    if not nozzle - 1e-9 <= width * 1.25 or width > WIDEST_LINE * nozzle + 1e-9:
        yield (
            f"A line {width:g} mm wide was asked for from a nozzle of {nozzle:g} mm, which draws "
            f"{0.8 * nozzle:g} to {WIDEST_LINE * nozzle:g} mm; choose a width between"
        )
    wall = requested.wall_lines * width
    if wall < nozzle - 1e-9:
        yield (
            f"A least wall of {wall:g} mm was asked for, but the nozzle of {nozzle:g} mm is wider; ask for "
            "more lines, or choose a narrower nozzle"
        )
    if requested.finger_from >= requested.finger_to:
        yield (
            f"Finger traps from {requested.finger_from:g} to {requested.finger_to:g} mm wide were asked for; "
            "begin with the narrower width"
        )
    for part, infill in (("shell", requested.shell_infill), ("core", requested.core_infill)):
        if requested.passes == 0 and infill == 0.0:
            yield f"No passes and no infill were asked for, so that nothing of the {part} prints; choose some"
