"""How well a hold would stay put, wherever on its back it were bored: for the search for the bore's place."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.ndimage import map_coordinates

from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore_places import Criterion
from holdwright.geometry.hole.place_figures import Limit
from holdwright.geometry.measure.columns import Grid
from holdwright.joint.holding.cone_reach import WallSupport, reach_of
from holdwright.joint.holding.contact import Footing, footing_within
from holdwright.joint.holding.loads import Load, Loads
from holdwright.joint.holding.overturning import lift_safety
from holdwright.joint.holding.pressure import (
    TOWARD,
    WIDER,
    ClampCone,
    Patches,
    balanced,
    farthest_back,
    kerns_of,
)
from holdwright.joint.holding.slip_and_spin import friction_force, safety
from holdwright.joint.outline import Outlines, inside

ENOUGH = 1.0
"""Safety that is required."""
ATTAINED = 0.8
"""Where no sound place reaches that, so much of the best that any gives is required: our own measure. It
lets the other figures count too; what is missing then, wood screws carry. A place is sound where all
else is amply as required, or has nearly the margin that the best place has."""
AMPLE = 1.25
"""Margin at which the shape is surely as required: over the whole back walls are measured coarsely."""
NEARLY = 0.95
"""Share of the best place's margin that is as good."""
MOST = 1e6
"""Greater safeties are given as this."""
SAMPLES = 1500
"""The contact is divided into about so many squares."""
CELLS = 40
"""Friction radii and lift are computed at so many places along the longer side, and interpolated."""


@dataclass(frozen=True, eq=False)
class Standing:
    """The safeties of the joint card for any place of the bore, all loads and points taken as available.

    Pressure is that of the card, on coarser squares, and interpolated between places.
    """

    outlines: Outlines
    """Of the back, (n, 2) in mm."""
    loads: Loads
    """Where it can be loaded, mm."""
    force: float
    """Likely one of one bolt, once the plastic has crept, N."""
    friction: float
    """Coefficient between hold and wall, the likely one."""
    load: Load
    """What acts."""
    seats: Callable[[Floats], Floats]
    """Heights of the seat at places (n, 2), mm."""
    pressing: float
    hole: float
    """pressing, hole: diameters of washer or head, and of the hole, mm."""
    others: tuple[ClampCone, ...]
    """Of bolts already present, tightened alike, mm."""
    wall: WallSupport
    """What it presses on."""

    def spin(self, places: Floats) -> Floats:
        """Friction torque by applied torque, for bores at places (n, 2)."""
        middles = self._middles(places)
        resisting = friction_force(self._together, self.load, self.friction)
        turning = self.load.along * self.loads.arms(middles)
        return np.minimum(safety(resisting * self._between(self._tables[0], places), turning), MOST)

    def lift(self, places: Floats) -> Floats:
        """How many times the load may act until a gap reaches a washer, for bores at places (n, 2)."""
        return self._between(self._tables[1], places)

    @cached_property
    def _footing(self) -> Footing:
        return footing_within(self.outlines)

    @property
    def _together(self) -> float:
        return self.force * (1 + len(self.others))

    def _middles(self, places: Floats) -> Floats:
        """Middle of all bolts for each place of the last."""
        return np.asarray((places + self._others.sum(axis=0)) / (1 + len(self.others)))

    @property
    def _others(self) -> Floats:
        return np.array([(cone.x, cone.y) for cone in self.others]).reshape(-1, 2)

    @cached_property
    def _grid(self) -> Grid:
        low, high = self._footing.hull.min(axis=0), self._footing.hull.max(axis=0)
        return Grid.over(low, high, float((high - low).max()) / CELLS)

    @cached_property
    def _tables(self) -> tuple[Floats, Floats]:
        """Friction radii and safeties against lifting at the points of the grid; 0 where the hold rocks."""
        patches = Patches.of(self.outlines, float(np.sqrt(self._footing.area / SAMPLES)))
        places = np.stack(self._grid.places, axis=-1).reshape(-1, 2)
        radii, lifts = np.zeros(len(places)), np.zeros(len(places))
        on_back = np.flatnonzero(inside(places, self.outlines))
        places = places[on_back]
        middles = self._middles(places)
        radii[on_back] = balanced(patches, self._weights(patches, places, 1.0), middles)[1]
        kerns = kerns_of(
            patches, self._weights(patches, places, WIDER), middles, self._backs(places, middles)
        )
        safeties = lift_safety(kerns, self.loads, self.load, self._together, middles)
        lifts[on_back] = np.minimum(safeties, MOST)
        return radii.reshape(self._grid.shape), lifts.reshape(self._grid.shape)

    def _weights(self, patches: Patches, places: Floats, wider: float) -> Floats:
        """Weights (n, k) of the patches for bores at places, each cone so many times as wide."""
        reach = wider * reach_of(self.seats(places), self.pressing, self.hole, self.wall)
        weights = patches.weights(places[:, 0], places[:, 1], reach, self.hole / 2.0)
        for cone in self.others:
            x, y, other = (np.array([value]) for value in (cone.x, cone.y, wider * cone.reach))
            weights += patches.weights(x, y, other, cone.hole)
        return weights / (1 + len(self.others))

    def _backs(self, places: Floats, middles: Floats) -> Floats:
        """How far along each direction of a kern the washers begin, from the middles of the bolts, mm."""
        backs = (places - middles) @ TOWARD.T - self.pressing / 2.0
        if self.others:
            backs = np.minimum(backs, farthest_back(self.others, TOWARD) - middles @ TOWARD.T)
        return np.asarray(backs)

    def _between(self, table: Floats, places: Floats) -> Floats:
        grid = self._grid
        at = np.stack([(places[:, 1] - grid.y) / grid.step, (places[:, 0] - grid.x) / grid.step])
        return np.asarray(map_coordinates(table, at, order=1, mode="nearest"))


def holding_criteria(standing: Standing, places: Floats, margins: Floats) -> tuple[Criterion, ...]:
    """Give the criteria of spin and of lift, where any sound place has some.

    Parameters
    ----------
    places
        (n, 2) all over the back, mm.
    margins
        (n,) of all else that they are rated by.
    """
    sound = places[margins >= min(AMPLE, NEARLY * float(margins.max(initial=0.0)))]
    figures: dict[Limit, Callable[[Floats], Floats]] = {"spin": standing.spin, "lift": standing.lift}
    best = {name: float(figure(sound).max()) if len(sound) else 0.0 for name, figure in figures.items()}
    # What no sound place has any of cannot rank them.
    return tuple(
        Criterion(name, figure, min(ENOUGH, ATTAINED * best[name]))
        for name, figure in figures.items()
        if best[name] > 0.0
    )
