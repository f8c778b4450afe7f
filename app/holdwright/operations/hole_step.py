"""What the steps that cut a hole have in common: their preview, and how their parameters are declared."""

import math
from abc import abstractmethod
from dataclasses import dataclass, field
from typing import Annotated, Any, Final, Literal, TypeVar

from pydantic import Field

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_site import HoleSite, Least
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.finding import Finding, Point
from holdwright.hold.finding_builder import new_finding
from holdwright.operations.base import Operation
from holdwright.parameters.kinds import ChoiceTexts, Parameters, Position, Relevant

P = TypeVar("P", bound=Parameters)

_EVEN: Final = 0.1
"""mm by which a place may be elsewhere without a word."""


@dataclass(frozen=True)
class SeatedHole:
    """A hole as a step would cut it."""

    hole: Hole
    """With its seat, mm."""
    site: HoleSite = field(compare=False, repr=False)
    """The columns round it."""
    under: float
    """Least thickness under what of the seat lies on material, mm; 0 where nothing does."""
    whole: bool = True
    """Whether all of it lies on material."""


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


PlaceBy = Annotated[Literal["found", "at"], ChoiceTexts(("automatic", "by hand")), Field(title="Position")]
"""How the place is chosen."""
Revised = Annotated[
    Literal["keep", "search"],
    ChoiceTexts(("keep while sound", "search anew")),
    Relevant("place", ("found",)),
    Field(title="Revised sculpt"),
]
"""What is done about a place that was found on the sculpt before."""
PlaceByHand = Annotated[Position, Relevant("place", ("at",)), Field(title="At")]
"""A place of the maker's own."""


def elsewhere(
    before: Point | None, x: float, y: float, lost: str = "", *, aside: bool = False
) -> list[Finding]:
    """Say how far a hole is from where it was on the sculpt before, mm.

    Parameters
    ----------
    lost
        What that place lacks.
    aside
        Whether it only moved aside for that, and was not searched anew.
    """
    if before is None or (away := math.hypot(x - before[0], y - before[1])) <= _EVEN:
        return []
    code = "place_moved" if not lost else "place_moved:aside" if aside else "place_moved:lost"
    return [new_finding(code, away, where=(x, y, 0.0), lost=lost)]


def size(default: float, title: str, most: float = 500.0) -> Any:
    """Declare a length above 0, mm."""
    return Field(default, gt=0.0, le=most, title=title)


def amount(default: float, title: str, most: float) -> Any:
    """Declare a length, mm, or an angle, degrees, from 0 up."""
    return Field(default, ge=0.0, le=most, title=title)


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
