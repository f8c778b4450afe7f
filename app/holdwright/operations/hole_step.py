"""What the steps that cut a hole have in common: their preview, and the findings that both can have."""

from abc import abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import Field

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import HoleCut
from holdwright.geometry.hole.hole_site import HoleSite, Least
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import in_cm3, new_finding
from holdwright.operations.base import Operation
from holdwright.parameters.kinds import Parameters

P = TypeVar("P", bound=Parameters)


@dataclass(frozen=True)
class SeatedHole:
    """A hole as a step would cut it.

    Attributes
    ----------
    hole
        With its seat, mm.
    site
        The columns round it.
    under
        Least thickness under the seat, mm; 0 where not all of it would lie on material.
    """

    hole: Hole
    site: HoleSite = field(compare=False, repr=False)
    under: float


class HoleOperation(Operation[P]):
    """A step that cuts holes from the finished back."""

    @abstractmethod
    def preview(
        self, parameters: P, catalogue: Catalogue, x: float, y: float, surface: Mesh
    ) -> tuple[SeatedHole, ...]:
        """Seat the holes at a place as the step would, without cutting.

        Parameters
        ----------
        x, y
            The foot, or the middle of several, mm.
        surface
            The hold as it enters the step, closed, mm.

        Raises
        ------
        HoldwrightError
            When the catalogue has no such rows, or they do not go together.
        """


def size(default: float, title: str, description: str, most: float = 500.0) -> Any:
    """Declare a length above 0, mm."""
    return Field(default, gt=0.0, le=most, title=title, description=description)


def amount(default: float, title: str, description: str, most: float) -> Any:
    """Declare a length, mm, or an angle, degrees, from 0 up."""
    return Field(default, ge=0.0, le=most, title=title, description=description)


def direction(title: str, description: str) -> Any:
    """Declare a direction on the wall, degrees."""
    seen = f"{description}, as seen from the front: 0 to the right, 90 up the wall."
    return Field(0.0, ge=-180.0, le=360.0, title=title, description=seen)


def must_be_on_back(edge: Least, what: str, x: float, y: float) -> None:
    """Refuse a place that is off the back, by its `edge_distance`."""
    if edge.value == float("-inf"):
        raise GeometryError(f"The hold has no flat back on z = 0 for {what}; trim its back first.")
    if edge.value < 0.0:
        raise ParameterError(
            f"{what[0].upper()}{what[1:]} at {x:g}, {y:g} mm was requested, but that is {-edge.value:.1f} mm "
            f"off the back; the nearest edge of the back is at {edge.place[0]:.1f}, {edge.place[1]:.1f} mm: "
            "stay within it."
        )


def shortfalls(
    figures: Iterable[tuple[str, Least, float]], even: float = 1e-6, place: str = ""
) -> list[Finding]:
    """Report figures more than `even` below their limit: each as code, figure, limit."""
    return [
        new_finding(code, least.value, limit, least.place, shown=max(least.value, 0.0), place=place)
        for code, least, limit in figures
        if least.value < limit - even
    ]


def piece_findings(cut: HoleCut, what: str, smaller: str) -> list[Finding]:
    """Report what came loose; `what` cut it, and `smaller` is what to take instead."""
    return [
        new_finding(code, volume, where=centre, cut=what, volume=in_cm3(volume), smaller=smaller)
        for code, pieces in (("sliver_left", cut.slivers), ("hold_parted", cut.loose))
        for volume, centre in pieces
    ]
