"""Mass, filament, time and cost of a printed part, from its real layers."""

from dataclasses import dataclass
from math import pi

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.layers.layer_stack import LayerFigures
from holdwright.printing.motion import move_time
from holdwright.printing.print_settings import PartSettings, bead_area
from holdwright.ranges import Range

WASTE = Range(0.0, 0.02, 0.05)
"""Share of filament that purging, brim and trials take besides: common practice, no source."""

FLOW = Range(0.97, 1.0, 1.03)
"""What a printer lays down by what it is told to: common practice, no source."""

CORNERS = Range(2.0, 1.0, 0.0)
"""Speed kept through corners, by what the machine's row has: our own range."""


@dataclass(frozen=True)
class PrintEstimate:
    """What a part takes, with purge and brim."""

    mass: Range
    """Of the part alone, g."""
    filament: Range
    """m."""
    time: Range
    """s."""
    cost: Range
    """Of the filament, in the currency of its price."""

    def __add__(self, other: "PrintEstimate") -> "PrintEstimate":
        pairs = ((getattr(self, name), getattr(other, name)) for name in ("mass", "filament", "time", "cost"))
        return PrintEstimate(*(Range.by(lambda a, b: a + b, one, two) for one, two in pairs))


def print_estimate(figures: LayerFigures, settings: PartSettings) -> PrintEstimate:
    """Estimate a part.

    Notes
    -----
    What is laid down is the area of passes and solid parts, and the infill's share of the rest, times the
    layer's height: the outlines say where, whichever the bead's own cross-section.
    """
    rule = settings.rule
    laid = float((figures.band + figures.solid + settings.infill * figures.infill).sum()) * rule.height
    volume = Range.by(lambda flow: laid * flow, FLOW)
    mass = Range.by(lambda each: each * settings.material.density / 1000.0, volume)
    fed = Range.by(lambda each, waste: each * (1.0 + waste), volume, WASTE)
    return PrintEstimate(
        mass,
        Range.by(lambda each: each / settings.filament / 1000.0, fed),
        print_time(figures, settings),
        Range.by(lambda each, price: each * settings.material.density / 1e6 * price, fed, settings.price),
    )


def print_time(figures: LayerFigures, settings: PartSettings) -> Range:
    """Time of a part in s: low with fast corners and a high flow, high where every corner is a stop.

    Notes
    -----
    Passes are moves between their sharp corners. Solid parts and infill are straight lines whose mean length
    is pi area / edge, the mean chord of a convex figure (Cauchy; any text on integral geometry); so many
    lines as their area takes. From one outline or line to the next the nozzle crosses half the layer's width.
    """
    low, high = settings.machine.layer_change
    changes, speed = (low, (low + high) / 2.0, high), settings.speed
    return Range(
        float(_layer_times(figures, settings, speed.high, CORNERS.low, changes[0]).sum()),
        float(_layer_times(figures, settings, speed.likely, CORNERS.likely, changes[1]).sum()),
        float(_layer_times(figures, settings, speed.low, CORNERS.high, changes[2]).sum()),
    )


def layer_times(figures: LayerFigures, settings: PartSettings) -> Floats:
    """Likely time of each layer, (n,) in s; they add up to that of `print_time`."""
    change = sum(settings.machine.layer_change) / 2.0
    return _layer_times(figures, settings, settings.speed.likely, CORNERS.likely, change)


def _layer_times(
    figures: LayerFigures, settings: PartSettings, speed: float, corners: float, change: float
) -> Floats:
    machine, rule = settings.machine, settings.rule
    bead = bead_area(rule.width, rule.height) / rule.height  # the spacing at which beads fill a layer
    corner = machine.corner_speed * corners

    def moves(length: Floats, count: Floats, at: float) -> Floats:
        return count * move_time(length / np.maximum(count, 1.0), at, machine.acceleration, corner)

    filled = figures.solid + settings.infill * figures.infill
    chord = pi * (figures.solid + figures.infill) / np.maximum(figures.edge, 1e-9)
    lines = np.where(filled > 0.0, np.ceil(filled / bead / np.maximum(chord, bead)), 0.0)
    jumps = figures.outlines + (lines > 0.0)
    printed = moves(figures.pass_length, np.maximum(figures.corners, figures.outlines), speed)
    printed += moves(filled / bead, lines, speed)
    moved = moves(0.5 * np.sqrt(figures.area) * jumps, jumps, machine.travel)
    return printed + moved + change
