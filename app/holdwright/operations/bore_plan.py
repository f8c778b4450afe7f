"""The bores of a step before their place is known: bolt and washer, sizes, directions, rules."""

import math
from dataclasses import dataclass, replace
from functools import cached_property

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
class BorePlan:
    """The bores of a step before their place is known.

    Attributes
    ----------
    parameters
        Of the step.
    screw, washer
        The catalogue rows that the bores are cut for.
    """

    parameters: CutBoreParameters
    screw: Screw
    washer: Washer | None

    @classmethod
    def of(cls, parameters: CutBoreParameters, catalogue: Catalogue) -> "BorePlan":
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
        return cls(parameters, screw, washer)

    @property
    def stack(self) -> float:
        """Height of washer and head together, mm."""
        return self.screw.head.height + (self.washer.thickness if self.washer else 0.0)

    @cached_property
    def hole(self) -> Hole:
        """A round bore with its foot at x = y = 0 and its seat at 0."""
        chosen, screw = self.parameters, self.screw
        lying = chosen.printed == "on its edge"
        allowance = chosen.lying_allowance if lying else chosen.hole_allowance
        return Hole(
            x=0.0,
            y=0.0,
            clearance_diameter=screw.clearance(chosen.fit) + allowance,
            pocket_diameter=pocket_diameter(screw, self.washer) + allowance,
            ring_diameter=self.washer.outer if self.washer else screw.head.diameter,
            axis=lean(chosen.tilt, chosen.toward),
            cone_angle=screw.head.angle,
        )

    @property
    def rule(self) -> SeatRule:
        """How high the seats go."""
        chosen = self.parameters
        return SeatRule(chosen.seat, chosen.under_seat, self.stack + chosen.head_below, chosen.depth)

    @property
    def offsets(self) -> Floats:
        """(n, 2) places of the bores from their middle, mm."""
        chosen = self.parameters
        return row_offsets(chosen.count, chosen.pitch, chosen.row_toward)

    @property
    def slots(self) -> tuple[float, ...]:
        """How much longer than wide each bore is, mm."""
        chosen = self.parameters
        slot = 0.0 if chosen.hole == "round" else chosen.slot
        first = 0.0 if chosen.hole == "first round" else slot
        return (first, *[slot] * (chosen.count - 1))

    @property
    def alone(self) -> bool:
        """Whether it is one round bore square to the wall."""
        return self.slots == (0.0,) and self.hole.upright

    def holes(self, x: float, y: float) -> tuple[Hole, ...]:
        """Put the bores round a middle on the finished back, mm; their seats are still to be found."""
        slot_along = _square_to(self.hole.axis, self.parameters.slot_toward)
        return tuple(
            replace(self.hole, x=round(x + along, 4), y=round(y + up, 4), slot=slot, slot_along=slot_along)
            for (along, up), slot in zip(self.offsets.tolist(), self.slots, strict=True)
        )

    @property
    def stands(self) -> Floats:
        """(k, 2) places where a bolt may stand, from the middle: in a slot anywhere along it."""
        halves = np.array([hole.half_slot[:2] for hole in self.holes(0.0, 0.0)])
        return stands(self.offsets, halves)

    def requirements(self, taken: tuple[Bore, ...] = ()) -> BoreRequirements:
        """Say what is required wherever a bolt may stand."""
        wall, edge = self.parameters.wall, self.parameters.edge
        return BoreRequirements(self.hole, self.rule, wall, edge, tuple(bore.hole for bore in taken))


def _square_to(axis: tuple[float, float, float], toward: float) -> tuple[float, float, float]:
    """Give the unit vector square to an axis that is seen from the front in a direction on the wall."""
    way, up = np.array(axis), math.radians(toward)
    along = np.array([math.cos(up), math.sin(up), 0.0])
    # Straight ahead on the wall, and as far outward as the seat rises that way.
    along[2] = -(way[:2] @ along[:2]) / way[2]
    x, y, z = (along / np.linalg.norm(along)).tolist()
    return x, y, z
