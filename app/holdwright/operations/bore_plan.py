"""The bores of a step before their place is known: hardware, sizes, directions, rules."""

import math
from dataclasses import dataclass, replace

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.catalogue.fasteners import Screw, Washer, pocket_diameter
from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore_row import row_offsets, stands
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.place_figures import BoreRequirements
from holdwright.geometry.hole.seat import SeatRule
from holdwright.geometry.mesh.frame import lean
from holdwright.hold.feature import Bore
from holdwright.operations.bore_parameters import CutBoreParameters


@dataclass(frozen=True)
class BoltAndWasher:
    """The catalogue rows a bore is cut for, and the sizes that follow from them."""

    screw: Screw
    washer: Washer | None

    @classmethod
    def of(cls, parameters: CutBoreParameters, catalogue: Catalogue) -> "BoltAndWasher":
        """Look screw and washer up.

        Raises
        ------
        CatalogueError
            When there is no such row.
        ParameterError
            When they do not go together.
        """
        screw = catalogue.screw(parameters.screw)
        washer = catalogue.washer(parameters.washer) if parameters.washer is not None else None
        if washer is not None and screw.head.angle is not None:
            raise ParameterError(
                f"'{washer.name}' was requested under '{screw.name}', whose countersunk head takes "
                "no washer; choose none, or a bolt with another head."
            )
        if washer is not None and not screw.d <= washer.hole < screw.head.diameter < washer.outer:
            raise ParameterError(
                f"'{washer.name}' was requested, with a hole of {washer.hole:g} mm, but it does not go over "
                f"the thread and under the head of '{screw.name}' ({screw.d:g}, {screw.head.diameter:g} mm); "
                f"choose a washer for {screw.thread}."
            )
        return cls(screw, washer)

    @property
    def stack(self) -> float:
        """Height of washer and head together."""
        return self.screw.head.height + (self.washer.thickness if self.washer else 0.0)

    @property
    def ring(self) -> float:
        """Outer diameter of what presses on the seat."""
        return self.washer.outer if self.washer else self.screw.head.diameter


@dataclass(frozen=True, eq=False)
class BorePlan:
    """All that is known of a step's bores before their place is.

    Attributes
    ----------
    hardware
        Screw and washer, the same for each.
    hole
        A round bore with its foot at x = y = 0 and its seat at 0.
    slots
        How much longer than wide each bore is, mm.
    slot_along
        Unit vector along the slots, square to the axis.
    offsets
        (n, 2) places of the bores from their middle, mm.
    rule
        How high the seats go.
    wall, edge
        As of `BoreRequirements`.
    """

    hardware: BoltAndWasher
    hole: Hole
    slots: tuple[float, ...]
    slot_along: tuple[float, float, float]
    offsets: Floats
    rule: SeatRule
    wall: float
    edge: float

    @classmethod
    def of(cls, parameters: CutBoreParameters, catalogue: Catalogue) -> "BorePlan":
        """Make the plan; see `BoltAndWasher.of` for what it refuses."""
        hardware = BoltAndWasher.of(parameters, catalogue)
        lying = parameters.printed == "on its edge"
        allowance = parameters.lying_allowance if lying else parameters.hole_allowance
        hole = Hole(
            x=0.0,
            y=0.0,
            clearance_diameter=hardware.screw.clearance(parameters.fit) + allowance,
            pocket_diameter=pocket_diameter(hardware.screw, hardware.washer) + allowance,
            ring_diameter=hardware.ring,
            axis=lean(parameters.tilt, parameters.toward),
            cone_angle=hardware.screw.head.angle,
        )
        rule = SeatRule(
            by=parameters.seat,
            under_seat=parameters.under_seat,
            recess=hardware.stack + parameters.head_below,
            depth=parameters.depth,
        )
        return cls(
            hardware,
            hole,
            _slots(parameters),
            _square_to(hole.axis, parameters.slot_toward),
            row_offsets(parameters.count, parameters.pitch, parameters.row_toward),
            rule,
            parameters.wall,
            parameters.edge,
        )

    def holes(self, x: float, y: float) -> tuple[Hole, ...]:
        """Put the bores round a middle on the finished back, mm; their seats are still to be found."""
        return tuple(
            replace(
                self.hole,
                x=round(x + along, 4),
                y=round(y + up, 4),
                slot=slot,
                slot_along=self.slot_along,
            )
            for (along, up), slot in zip(self.offsets.tolist(), self.slots, strict=True)
        )

    @property
    def alone(self) -> bool:
        """Whether it is one round bore square to the wall."""
        return self.slots == (0.0,) and self.hole.upright

    @property
    def stands(self) -> Floats:
        """(k, 2) places where a bolt may stand, from the middle: in a slot anywhere along it."""
        halves = np.array([hole.half_slot[:2] for hole in self.holes(0.0, 0.0)])
        return stands(self.offsets, halves)

    def requirements(self, taken: tuple[Bore, ...]) -> BoreRequirements:
        """Say what is required wherever a bolt may stand."""
        return BoreRequirements(
            clearance_diameter=self.hole.clearance_diameter,
            pocket_diameter=self.hole.pocket_diameter,
            ring_diameter=self.hole.ring_diameter,
            rule=self.rule,
            wall=self.wall,
            edge=self.edge,
            taken=tuple((bore.x, bore.y, bore.pocket_diameter + bore.slot) for bore in taken),
        )


def _slots(parameters: CutBoreParameters) -> tuple[float, ...]:
    slot = 0.0 if parameters.hole == "round" else parameters.slot
    first = 0.0 if parameters.hole == "first round" else slot
    return (first, *[slot] * (parameters.count - 1))


def _square_to(axis: tuple[float, float, float], toward: float) -> tuple[float, float, float]:
    """Give the unit vector square to an axis that is seen from the front in a direction on the wall."""
    way, up = np.array(axis), math.radians(toward)
    along = np.array([math.cos(up), math.sin(up), 0.0])
    # Straight ahead on the wall, and as far outward as the seat rises that way.
    along[2] = -(way[:2] @ along[:2]) / way[2]
    x, y, z = (along / np.linalg.norm(along)).tolist()
    return x, y, z
