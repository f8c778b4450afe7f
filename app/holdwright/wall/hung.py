"""A hold at its place on a wall."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.wall.hanging_hold import HangingHold
from holdwright.wall.t_nut_grid import t_nuts
from holdwright.wall.wall_file import ClimbingWall, PlacedEntry


@dataclass(frozen=True, eq=False)
class Hung:
    """A hold on the wall; mm in the wall's frame."""

    number: int
    """In the mounting list, from 1."""
    hold: HangingHold
    t_nut: str
    at: tuple[float, float]
    """t_nut, at: name and place of the T-nut its first bore goes to."""
    turn: float
    """Degrees, counter-clockwise seen from the front."""

    @property
    def name(self) -> str:
        """As people call it."""
        return f"{self.hold.name} at {self.t_nut}"

    @cached_property
    def outline(self) -> Floats:
        """Outline (n, 2), seen from the front."""
        return self._moved(self.hold.outline)

    @cached_property
    def box(self) -> Floats:
        """(2, 2): least and greatest corner of the outline."""
        return np.array([self.outline.min(axis=0), self.outline.max(axis=0)])

    @cached_property
    def bores(self) -> Floats:
        """(n, 2)."""
        return self._moved(np.array(self.hold.bores).reshape(-1, 2))

    @cached_property
    def screws(self) -> Floats:
        """(n, 2)."""
        return self._moved(np.array(self.hold.screws).reshape(-1, 2))

    @property
    def entry(self) -> PlacedEntry:
        """What a wall's file says of it."""
        return PlacedEntry(hold=self.hold.name, t_nut=self.t_nut, turn=self.turn)

    def _moved(self, points: Floats) -> Floats:
        angle = np.radians(self.turn)
        cos, sin = np.cos(angle), np.sin(angle)
        foot = np.array(self.hold.bores[0] if self.hold.bores else (0.0, 0.0))
        return np.asarray((points - foot) @ np.array([[cos, sin], [-sin, cos]]) + self.at)


def hung_holds(wall: ClimbingWall, holds: Mapping[str, HangingHold]) -> list[Hung]:
    """Hang the holds that a wall places.

    Raises
    ------
    ParameterError
        When the wall names a hold the set lacks, or a T-nut that is not there.
    """
    places = t_nuts(wall)
    found = []
    for number, entry in enumerate(wall.placed, start=1):
        if entry.hold not in holds:
            raise ParameterError(
                f"The wall places {entry.hold}, but the set has no such finished hold; it has: "
                f"{', '.join(holds) or 'none'}."
            )
        if entry.t_nut not in places:
            raise ParameterError(
                f"{entry.hold} shall hang at T-nut {entry.t_nut}, but the wall has none of that name; it has "
                f"{', '.join(list(places)[:1])} to {', '.join(list(places)[-1:])}."
            )
        found.append(Hung(number, holds[entry.hold], entry.t_nut, places[entry.t_nut], entry.turn))
    return found
