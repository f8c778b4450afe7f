"""Bore a hold for its bolt: clearance hole, seat and pocket, where the material carries them best."""

from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from holdwright.catalogue.catalogue import Catalogue
from holdwright.catalogue.fasteners import Fit, Screw, Washer, pocket_diameter
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.bore import BoreShape, cut_bore
from holdwright.geometry.bore_check import edge_distance, measure_bore
from holdwright.geometry.bore_site import BoreSite
from holdwright.geometry.bore_walls import Least
from holdwright.geometry.place import best_places
from holdwright.geometry.place_figures import Wanted
from holdwright.geometry.seat import SeatBy, SeatRule
from holdwright.hold.feature import Bore
from holdwright.hold.hold import Hold
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.operations.bore_findings import bore_findings
from holdwright.parameters.kinds import Length, Parameters, Position, Relevant, Rows


class CutBoreParameters(Parameters):
    """What the bolt is, where it goes and how deep it sits. The limits are common practice, no source."""

    screw: Annotated[str, Rows("screws")] = Field(
        "M10 socket cap ISO 4762", title="Screw", description="The bolt, by its name in the catalogue."
    )
    washer: Annotated[str, Rows("washers")] | None = Field(
        "M10 large washer ISO 7093",
        title="Washer",
        description="The washer under the head, by its name in the catalogue; none for a bare head.",
    )
    fit: Fit = Field(
        "medium", title="Fit", description="Series of the clearance hole, as ISO 273 names them."
    )
    hole_allowance: Length = Field(
        0.0,
        ge=0.0,
        le=2.0,
        title="Hole allowance",
        description="Added to both diameters: printed holes come out 0.1 to 0.4 mm narrow.",
    )
    place: Literal["found", "at"] = Field(
        "found",
        title="Place",
        description="Found: where thickness, walls and edge distance leave the greatest margin.",
    )
    at: Annotated[Position, Relevant("place", ("at",))] = Field(
        (0.0, 0.0), title="At", description="Where the axis meets the finished back."
    )
    seat: SeatBy = Field(
        "recessed",
        title="Seat",
        description=(
            "Recessed: head just below the surface, with at least the wanted thickness underneath. "
            "Thickness: just that thickness underneath. Depth: so far below the surface on the axis."
        ),
    )
    under_seat: Length = Field(
        12.0,
        gt=0.0,
        le=500.0,
        title="Under the seat",
        description="Wanted thickness between seat and wall.",
    )
    head_below: Annotated[Length, Relevant("seat", ("recessed",))] = Field(
        1.0,
        ge=0.0,
        le=100.0,
        title="Head below",
        description="How far the head lies below the lowest surface over the pocket.",
    )
    depth: Annotated[Length, Relevant("seat", ("depth",))] = Field(
        20.0, gt=0.0, le=500.0, title="Seat depth", description="Depth of the seat below the surface."
    )
    wall: Length = Field(
        8.0,
        gt=0.0,
        le=500.0,
        title="Wall",
        description="Wanted wall round clearance hole and pocket, and between pockets.",
    )
    edge: Length = Field(
        20.0,
        gt=0.0,
        le=500.0,
        title="Edge distance",
        description="Wanted distance from the axis to the edge of the back.",
    )

    @field_validator("washer", mode="before")
    @classmethod
    def _bare(cls, value: Any) -> Any:
        """Take the word none for no washer."""
        return None if isinstance(value, str) and value.strip().casefold() in ("none", "") else value


@dataclass(frozen=True)
class _Hardware:
    """The catalogue rows a bore is cut for, and the sizes that follow from them."""

    screw: Screw
    washer: Washer | None

    @classmethod
    def of(cls, parameters: CutBoreParameters, catalogue: Catalogue) -> "_Hardware":
        screw = catalogue.screw(parameters.screw)
        washer = catalogue.washer(parameters.washer) if parameters.washer is not None else None
        if washer is not None and screw.head.angle is not None:
            raise ParameterError(
                f"'{washer.name}' was asked for under '{screw.name}', whose countersunk head takes "
                "no washer; choose none, or a screw with another head."
            )
        if washer is not None and not screw.d <= washer.hole < screw.head.diameter < washer.outer:
            raise ParameterError(
                f"'{washer.name}' was asked for, with a hole of {washer.hole:g} mm, but it does not go over "
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


class CutBore(Operation[CutBoreParameters]):
    """A hold may have several bores: one step for each."""

    name = "cut_bore"
    title = "Cut bore"
    summary = "Cuts clearance hole, seat and pocket for a screw, square to the wall."
    order = 60
    repeatable = True
    parameters = CutBoreParameters

    def apply(self, hold: Hold, parameters: CutBoreParameters, run: Run) -> Outcome:
        """Bore the hold."""
        whole = hold.whole
        hardware = _Hardware.of(parameters, run.catalogue)
        wanted = _wanted(parameters, hardware, hold.find(Bore))
        if parameters.place == "found":
            run.progress.report(0.1, "Looking for the place of the bore")
            with run.stopwatch.searching("place of the bore"):
                best = best_places(whole, wanted, count=1)[0]
            x, y = round(best.x, 2), round(best.y, 2)
        else:
            x, y = parameters.at
        edge = edge_distance(whole, x, y)
        if parameters.place == "at":
            _must_be_on_base(edge, x, y)
        run.progress.report(0.4, "Measuring the place")
        shape = BoreShape(
            x,
            y,
            0.0,
            wanted.clearance_diameter,
            wanted.pocket_diameter,
            wanted.ring_diameter,
            cone_angle=hardware.screw.head.angle,
        )
        site = BoreSite.of(whole, shape)
        asked, seat = site.seat_heights(wanted.rule)
        shape = replace(shape, seat=seat)
        figures = measure_bore(whole, site, shape, edge, deep=parameters.wall)
        run.progress.report(0.6, "Boring")
        cut = cut_bore(whole, shape)
        findings = bore_findings(shape, figures, cut, wanted, asked, hardware.stack)
        bore = Bore(
            x=x,
            y=y,
            axis=shape.axis,
            clearance_diameter=shape.clearance_diameter,
            pocket_diameter=shape.pocket_diameter,
            seat_z=seat,
            thickness_under_seat=figures.thickness.value,
            screw=hardware.screw.name,
            washer=hardware.washer.name if hardware.washer else None,
            cone_angle=shape.cone_angle,
        )
        result = f"seat {figures.thickness.value:.1f} mm thick, at {x + 0.0:.1f}, {y + 0.0:.1f} mm"
        return Outcome(hold.with_whole(cut.solid, bore), findings, result)

    def rows(self, parameters: CutBoreParameters, catalogue: Catalogue) -> tuple[object, ...]:
        """Give the screw's and the washer's row."""
        washer = (catalogue.washer(parameters.washer),) if parameters.washer is not None else ()
        return (catalogue.screw(parameters.screw), *washer)


def _wanted(parameters: CutBoreParameters, hardware: _Hardware, bores: tuple[Bore, ...]) -> Wanted:
    screw, allowance = hardware.screw, parameters.hole_allowance
    return Wanted(
        clearance_diameter=screw.clearance(parameters.fit) + allowance,
        pocket_diameter=pocket_diameter(screw, hardware.washer) + allowance,
        ring_diameter=hardware.ring,
        rule=SeatRule(
            by=parameters.seat,
            under_seat=parameters.under_seat,
            recess=hardware.stack + parameters.head_below,
            depth=parameters.depth,
        ),
        wall=parameters.wall,
        edge=parameters.edge,
        taken=tuple((bore.x, bore.y, bore.pocket_diameter) for bore in bores),
    )


def _must_be_on_base(edge: Least, x: float, y: float) -> None:
    if edge.value == float("-inf"):
        raise GeometryError("The hold has no flat back on z = 0 to bore from; trim its back first.")
    if edge.value < 0.0:
        raise ParameterError(
            f"A bore at {x:g}, {y:g} mm was asked for, but that is {-edge.value:.1f} mm off the back; the "
            f"nearest edge of the back is at {edge.place[0]:.1f}, {edge.place[1]:.1f} mm: stay within it."
        )
