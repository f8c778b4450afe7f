"""What can be chosen about the bores of a step."""

from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from holdwright.catalogue.fasteners import Fit
from holdwright.geometry.hole.seat import SeatBy
from holdwright.operations.hole_step import (
    PlaceBy,
    PlaceByHand,
    amount,
    direction,
    place_by,
    place_by_hand,
    size,
)
from holdwright.parameters.kinds import Angle, Count, Length, Parameters, Relevant, Rows

Printed = Literal["on its back", "on its front", "on its edge"]


class CutBoreParameters(Parameters):
    """What the bolt is, where it goes and how deep it sits. The limits are common practice, no source."""

    screw: Annotated[str, Rows("screws")] = Field(
        "M10 socket cap ISO 4762", title="Bolt", description="The bolt, by its name in the catalogue."
    )
    washer: Annotated[str, Rows("washers")] | None = Field(
        "M10 large washer ISO 7093",
        title="Washer",
        description="The washer under the head, by its name in the catalogue; none for a bare head.",
    )
    fit: Fit = Field(
        "medium", title="Fit", description="Series of the clearance hole, as ISO 273 names them."
    )
    printed: Printed = Field(
        "on its back",
        title="Printed",
        description="How the hold lies on the printer's bed: on its back the bore stands and opens upwards.",
    )
    hole_allowance: Length = amount(
        0.0,
        "Hole allowance",
        "Added to both diameters of a standing bore: printed holes come out up to 0.4 mm narrow.",
        most=2.0,
    )
    lying_allowance: Annotated[Length, Relevant("printed", ("on its edge",))] = amount(
        0.4,
        "Lying hole allowance",
        "Added instead to a bore that lies in the print: its roof sags by 0.3 to 0.5 mm.",
        most=2.0,
    )
    place: PlaceBy = place_by(
        "Automatic: where the least margin is greatest of thickness, walls, edge distance, way in for "
        "the head, spin and lift, these two under the usual conditions (12 N m, PETG, 2 x 80 kg, "
        "upright wall). Rows, slots and leaning bores: by their shape alone."
    )
    at: PlaceByHand = place_by_hand("; of several, their middle")
    count: Count = Field(
        1, ge=1, le=4, title="Bores", description="How many in a row, each with a seat at its own depth."
    )
    pitch: Annotated[Length, Relevant("count", (2, 3, 4))] = size(
        200.0,
        "Pitch",
        "From one bore to the next: as far as the wall's T-nuts are apart. Measure yours.",
        most=1000.0,
    )
    row_toward: Annotated[Angle, Relevant("count", (2, 3, 4))] = direction(
        "Row toward", "Where the row runs to"
    )
    tilt: Angle = amount(
        0.0,
        "Tilt",
        "How far the axis leans off the wall's normal; the seat stays square to the axis.",
        most=15.0,
    )
    toward: Angle = direction("Leans toward", "Where the head leans to")
    hole: Literal["round", "slot", "first round"] = Field(
        "round",
        title="Hole",
        description=(
            "Slot: longer than wide, so that the bolt finds its T-nut. First round: of several bores the "
            "first holds the place, the others are slots."
        ),
    )
    slot: Annotated[Length, Relevant("hole", ("slot", "first round"))] = size(
        6.0, "Slot", "How much longer than wide a slot is.", most=60.0
    )
    slot_toward: Annotated[Angle, Relevant("hole", ("slot", "first round"))] = direction(
        "Slot toward", "Along which direction"
    )
    seat: SeatBy = Field(
        "recessed",
        title="Seat",
        description=(
            "Recessed: head just below the surface, with at least the required thickness underneath. "
            "Thickness: just that thickness underneath. Depth: that far below the surface on the axis."
        ),
    )
    under_seat: Length = size(
        12.0,
        "Least under seat",
        "Required thickness between seat and wall; a recessed seat leaves what the head allows, "
        "this at least.",
    )
    head_below: Annotated[Length, Relevant("seat", ("recessed",))] = amount(
        1.0, "Head below", "How far the head lies below the lowest surface over the pocket.", most=100.0
    )
    depth: Annotated[Length, Relevant("seat", ("depth",))] = size(
        20.0, "Seat depth", "Depth of the seat below the surface."
    )
    wall: Length = size(8.0, "Wall", "Required wall round clearance hole and pocket, and between pockets.")
    edge: Length = size(20.0, "Edge distance", "Required distance from the axis to the edge of the back.")

    @field_validator("washer", mode="before")
    @classmethod
    def _bare(cls, value: Any) -> Any:
        """Take the word none for no washer."""
        return None if isinstance(value, str) and value.strip().casefold() in ("none", "") else value
