"""What the steps that cut a hole have in common: their preview, and the findings that both can have."""

from abc import abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeVar

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import HoleCut
from holdwright.geometry.hole.hole_site import HoleSite, Least
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.hold.finding import Finding, Severity, point
from holdwright.operations.base import Operation
from holdwright.parameters.kinds import Parameters

GRAVE = 0.5
"""Less than this share of what is required is an error, not a warning."""

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


def shortfalls(rows: Iterable[tuple[str, Least, float, str, str]], even: float = 1e-6) -> list[Finding]:
    """Report figures more than `even` below their limit: rows of code, figure, limit, words, advice."""
    return [
        Finding(
            code,
            "error" if least.value < GRAVE * limit else "warning",
            f"{words} only {max(least.value, 0.0):.1f} mm; {limit:g} mm are required.",
            least.value,
            limit,
            "mm",
            point(least.place),
            advice,
        )
        for code, least, limit, words, advice in rows
        if least.value < limit - even
    ]


def piece_findings(cut: HoleCut, what: str, smaller: str) -> list[Finding]:
    """Report what came loose; `what` cut it, and `smaller` is what to take instead."""
    rows: tuple[tuple[str, Severity, str, str, tuple[tuple[float, Floats], ...]], ...] = (
        (
            "sliver_left",
            "warning",
            f"The {what} cut a sliver of {{}} loose; it was dropped.",
            "Look at the place: the wall there was very thin.",
            cut.slivers,
        ),
        (
            "hold_parted",
            "error",
            f"The {what} parts the hold: a piece of {{}} came loose.",
            f"Move the {what}, or take a smaller {smaller}.",
            cut.loose,
        ),
    )
    return [
        Finding(code, severity, text.format(volume_text(volume)), volume, None, "mm3", point(centre), advice)
        for code, severity, text, advice, pieces in rows
        for volume, centre in pieces
    ]


def volume_text(volume: float) -> str:
    """Write a volume in mm3 so that it can be imagined."""
    return f"{volume / 1000:.2g} cm3" if volume >= 100.0 else f"{volume:.2g} mm3"
