"""Wood screws, or bolts, that stop a hold from turning: what one carries across, and how many are needed.

All formulas and constants here are from memory of EN 1995-1-1 (Eurocode 5), sections 8.2, 8.3, 8.5 and 8.7;
none is a design to it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from holdwright.catalogue.anchorage import Panel, WoodScrew
from holdwright.catalogue.catalogue import Catalogue, look_up
from holdwright.hold.feature import Bore, ScrewHole
from holdwright.joint.conditions import BoltAssembly
from holdwright.joint.fasteners.single_shear import Shear, single_shear
from holdwright.joint.holding.screw_sites import ScrewSite

SCREW_STRENGTH = 400.0
"""Tensile strength of a plain wood screw's steel, MPa (from memory; hardened ones have more, and break)."""

IN_WOOD = 6.0
"""A screw goes so many diameters into the panel, or through a thinner one (8.7.2, pointside penetration)."""

BELOW, MOST_UNDER = 0.5, 40.0
"""Depth of the head below the surface over it, and most that is left under it, mm: as a screw hole is cut."""

_STOCK = 5.0


class Pin(Protocol):
    """What carries a force across, and so keeps a hold from turning."""

    @property
    def lever(self) -> float:
        """Distance of its foot from the middle of the bolts, mm."""

    @property
    def capacity(self) -> float:
        """Force that it carries across, N."""


@dataclass(frozen=True)
class ScrewHeld:
    """A wood screw in its hole, or in one to be cut, as it stops a hold from turning."""

    x: float
    y: float
    """x, y: its foot, mm."""
    row: WoodScrew
    """As the tables have it."""
    lever: float
    """Distance of its foot from the middle of the bolts, mm."""
    length: float
    """Least it must have, head and all, mm."""
    shear: Shear
    """Of a screw square to the wall."""
    lean: float = 1.0
    """Cosine of the angle it leans by, which it carries less by: our own measure."""

    @property
    def capacity(self) -> float:
        """Force that it carries across, N."""
        return self.lean * self.shear.force


@dataclass(frozen=True)
class BoltPin:
    """A bolt beside others, as it stops a hold from turning once the play of its hole is used."""

    lever: float
    capacity: float


@dataclass(frozen=True)
class Ground:
    """What a fastener goes through.

    Notes
    -----
    Embedment strengths of plywood, rho in kg/m3: 0.11 rho d^-0.3 for nails and thin screws (8.20), 0.11 (1 -
    0.01 d) rho for bolts (8.36). Bending moments 0.3 fu d^2.6 (8.14, 8.30), d of a screw 1.1 times its root
    (8.7.1).
    """

    panel: Panel
    bearing: float
    """Pressure the hold's material bears on a shank, MPa."""

    def screw(self, row: WoodScrew, under_head: float) -> Shear:
        """Give what a wood screw square to the wall carries, so much of the hold (mm) under its head."""
        d = 1.1 * row.root
        wood = 0.11 * self.panel.density * 1000.0 * d**-0.3
        depths = under_head, self.penetration(row)
        return single_shear(d, 0.3 * SCREW_STRENGTH * d**2.6, (self.bearing, wood), depths)

    def bolt(self, bolt: BoltAssembly, seat: float) -> Shear:
        """Give what a bolt carries across by its core, seated so high above the wall."""
        d = math.sqrt(bolt.screw.stress_area * 4.0 / math.pi)
        wood = 0.11 * (1.0 - 0.01 * d) * self.panel.density * 1000.0
        depths = seat, self.panel.thickness
        return single_shear(d, 0.3 * bolt.strength.tensile * d**2.6, (self.bearing, wood), depths)

    def penetration(self, row: WoodScrew) -> float:
        """Length of a screw in the panel, mm."""
        return min(IN_WOOD * row.shank, self.panel.thickness)

    def length(self, row: WoodScrew, under_head: float) -> float:
        """Least length of a screw, mm, in steps as sold."""
        least = under_head + cone_height(row) + self.penetration(row)
        return math.ceil(least / _STOCK - 1e-6) * _STOCK


def cone_height(row: WoodScrew) -> float:
    """Height of a head's cone above its clearance hole, mm."""
    return (row.mouth - row.clearance) / 2.0 / math.tan(math.radians(row.head_angle / 2.0))


def screws_held(
    holes: Sequence[ScrewHole], middle: tuple[float, float], catalogue: Catalogue, ground: Ground
) -> tuple[ScrewHeld, ...]:
    """Give the screws that a hold has holes for, `middle` being that of its bolts, mm.

    Raises
    ------
    CatalogueError
        When the tables have no such screw any more.
    """
    held = []
    for hole in holes:
        row = look_up(catalogue.wood_screws, hole.screw, "wood screw")
        lever = math.dist((hole.x, hole.y), middle)
        shear, length = ground.screw(row, hole.seat), ground.length(row, hole.seat)
        held.append(ScrewHeld(hole.x, hole.y, row, lever, length, shear, hole.axis[2]))
    return tuple(held)


def screws_at(
    sites: Sequence[ScrewSite], row: WoodScrew, middle: tuple[float, float], ground: Ground
) -> tuple[ScrewHeld, ...]:
    """Give the screws that could be set at sites, as `screws_held` does."""
    held = []
    for site in sites:
        under = min(site.height - BELOW - cone_height(row), MOST_UNDER)
        lever = math.dist((site.x, site.y), middle)
        held.append(
            ScrewHeld(site.x, site.y, row, lever, ground.length(row, under), ground.screw(row, under))
        )
    return tuple(held)


def bolt_pins(
    bores: Sequence[Bore], bolts: Sequence[BoltAssembly], middle: tuple[float, float], ground: Ground
) -> tuple[BoltPin, ...]:
    """Give the bolts as they lock each other; one alone lets a hold turn about it."""
    pins = (
        BoltPin(math.dist((bore.x, bore.y), middle), ground.bolt(bolt, bore.seat).force)
        for bore, bolt in zip(bores, bolts, strict=True)
    )
    return tuple(pins) if len(bores) > 1 else ()


def torque_held(pins: Sequence[Pin]) -> float:
    """Torque in N m about the bolts that screws, or bolts, carry together.

    Notes
    -----
    A hold that turns moves each screw by its lever times the angle, so that forces grow with the levers; the
    first to reach its capacity ends it. That is the elastic analysis of a group of fasteners in torsion
    (Shigley, Mechanical Engineering Design, section 8-12: F = M r / sum of r^2; section from memory), on the
    safe side for ductile ones. Clearance lets the hold turn a little until the screws bear.
    """
    turning = [pin for pin in pins if pin.lever > 0.0]
    if not turning:
        return 0.0
    per_mm = min(pin.capacity / pin.lever for pin in turning)
    return per_mm * sum(pin.lever**2 for pin in turning) / 1000.0


def screws_needed(torque: float, present: Sequence[Pin], further: Sequence[Pin]) -> int | None:
    """Count the further screws, in their order, that with those present carry a torque in N m.

    None where all of them are too few.
    """
    if torque <= 0.0:
        return 0
    for count in range(len(further) + 1):
        if torque_held([*present, *further[:count]]) >= torque * (1.0 - 1e-9):
            return count
    return None
