"""What can be chosen about the bores of a step, and the bores it makes before their place is known."""

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated, Any, Final, Literal

import numpy as np
from pydantic import Field, field_validator

from holdwright.catalogue.catalogue import Catalogue
from holdwright.catalogue.fasteners import Fit, Screw, Washer, pocket_diameter
from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_figures import BoreFigures
from holdwright.geometry.hole.hole_site import edge_distance
from holdwright.geometry.hole.place_figures import BoreRequirements
from holdwright.geometry.hole.seat import SeatBy, SeatRule
from holdwright.geometry.mesh.frame import lean
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from holdwright.operations.hole_step import PlaceBy, PlaceByHand, Revised, amount, direction, size
from holdwright.parameters.kinds import Angle, Count, Direction, Length, Parameters, Relevant, Rows

APART = 4.0
"""Places along a slot at which a bolt is tried are at most so far apart, mm."""

_MARGINS: Final = (
    "thickness under the seat",
    "wall round the hole",
    "wall round the pocket",
    "edge distance",
)
"""What `BoreFigures.limits` gives, in words."""

Printed = Literal["on its back", "on its front", "on its edge"]


class CutBoreParameters(Parameters):
    """What the bolt is, where it goes and how deep it sits. The limits are common practice, no source."""

    screw: Annotated[str, Rows("screws")] = Field("M10 socket cap ISO 4762", title="Bolt")
    """The bolt, by its name in the catalogue."""
    washer: Annotated[str, Rows("washers")] | None = Field("M10 large washer ISO 7093", title="Washer")
    """The washer under the head, by its name in the catalogue; none for a bare head."""
    fit: Fit = Field("medium", title="Fit")
    """Series of the clearance hole, as ISO 273 names them."""
    printed: Printed = Field("on its back", title="Printed")
    """How the hold lies on the printer's bed: on its back the bore stands and opens upwards."""
    hole_allowance: Length = amount(0.0, "Hole allowance", most=2.0)
    """Added to both diameters of a standing bore: printed holes come out up to 0.4 mm narrow."""
    lying_allowance: Annotated[Length, Relevant("printed", ("on its edge",))] = amount(
        0.4, "Lying hole allowance", most=2.0
    )
    """Added instead to a bore that lies in the print: its roof sags by 0.3 to 0.5 mm."""
    place: PlaceBy = "found"
    """Automatic: where the least margin is greatest of thickness, walls, edge distance, way in for the head,
    spin and lift, these two under the usual conditions (12 N m, PETG, 2 x 80 kg, upright wall). Rows, slots
    and leaning bores: by their shape alone."""
    revised: Revised = "keep"
    """Keep while sound: on a revised sculpt the bore stays where it was found on the one before, as long as
    seat, walls and edge distance there are as required, or are no better anywhere."""
    at: PlaceByHand = (0.0, 0.0)
    """Where the axis meets the finished back; of several, their middle."""
    count: Count = Field(1, ge=1, le=4, title="Bores")
    """How many in a row, each with a seat at its own depth."""
    pitch: Annotated[Length, Relevant("count", (2, 3, 4))] = size(200.0, "Pitch", most=1000.0)
    """From one bore to the next: as far as the wall's T-nuts are apart. Measure yours."""
    row_toward: Annotated[Direction, Relevant("count", (2, 3, 4))] = direction(
        "Row toward", "Where the row runs to"
    )
    tilt: Angle = amount(0.0, "Tilt", most=15.0)
    """How far the axis leans off the wall's normal; the seat stays square to the axis."""
    toward: Direction = direction("Leans toward", "Where the head leans to")
    hole: Literal["round", "slot", "first round"] = Field("round", title="Hole")
    """Slot: longer than wide, so that the bolt finds its T-nut. First round: of several bores the first holds
    the place, the others are slots."""
    slot: Annotated[Length, Relevant("hole", ("slot", "first round"))] = size(6.0, "Slot", most=60.0)
    """How much longer than wide a slot is."""
    slot_toward: Annotated[Direction, Relevant("hole", ("slot", "first round"))] = direction(
        "Slot toward", "Along which direction"
    )
    seat: SeatBy = Field("recessed", title="Seat")
    """Recessed: head just below the surface, with at least the required thickness underneath. Thickness: just
    that thickness underneath. Depth: that far below the surface on the axis."""
    under_seat: Length = size(12.0, "Least under seat")
    """Required thickness between seat and wall; a recessed seat leaves what the head allows, this at
    least."""
    head_below: Annotated[Length, Relevant("seat", ("recessed",))] = amount(1.0, "Head below", most=100.0)
    """How far the head lies below the lowest surface over the pocket."""
    depth: Annotated[Length, Relevant("seat", ("depth",))] = size(20.0, "Seat depth")
    """Depth of the seat below the surface."""
    wall: Length = size(8.0, "Wall")
    """Required wall round clearance hole and pocket, and between pockets."""
    edge: Length = size(20.0, "Edge distance")
    """Required distance from the axis to the edge of the back."""

    @field_validator("washer", mode="before")
    @classmethod
    def _bare(cls, value: Any) -> Any:
        """Take the word none for no washer."""
        return None if isinstance(value, str) and value.strip().casefold() in ("none", "") else value


@dataclass(frozen=True)
class BorePlan:
    """The bores of a step before their place is known."""

    parameters: CutBoreParameters
    """Of the step."""
    screw: Screw
    washer: Washer | None
    """The catalogue rows that the bores are cut for."""

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

    @property
    def allowance(self) -> float:
        """What both diameters are wider by, mm."""
        chosen = self.parameters
        return chosen.lying_allowance if chosen.printed == "on its edge" else chosen.hole_allowance

    @cached_property
    def hole(self) -> Hole:
        """A round bore with its foot at x = y = 0 and its seat at 0."""
        chosen, screw = self.parameters, self.screw
        return Hole(
            x=0.0,
            y=0.0,
            clearance_diameter=screw.clearance(chosen.fit) + self.allowance,
            pocket_diameter=pocket_diameter(screw, self.washer) + self.allowance,
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
        chosen, toward = self.parameters, math.radians(self.parameters.row_toward)
        way = chosen.pitch * np.array([math.cos(toward), math.sin(toward)])
        return np.asarray(np.outer(np.arange(chosen.count) - (chosen.count - 1) / 2, way))

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
        found = []
        for offset, hole in zip(self.offsets, self.holes(0.0, 0.0), strict=True):
            half = hole.half_slot[:2]
            count = 2 * math.ceil(float(np.linalg.norm(half)) / APART) + 1
            found.append(offset + np.outer(np.linspace(-1.0, 1.0, count) if count > 1 else [0.0], half))
        return np.concatenate(found)

    def margin(self, whole: Solid, x: float, y: float) -> tuple[float, str]:
        """Measure the bores at a place, mm: the least of what is required that they have there, and of what.

        As a share, 1 as required; below 0 off the back.
        """
        least, what = math.inf, ""
        for hole in self.holes(x, y):
            edge = edge_distance(whole, hole.x, hole.y, hole.half_slot[:2])
            if edge.value < 0.0:
                return edge.value / self.parameters.edge, "edge distance"
            figures = BoreFigures.of(whole, hole, self.rule, edge, self.parameters.wall)
            limits = figures.limits(self.requirements())
            for name, (found, limit) in zip(_MARGINS, limits, strict=True):
                if found.value / limit < least:
                    least, what = found.value / limit, name
        return least, what

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
