"""A hold as all its bolts together clamp it: how it holds, and what further wood screws would add."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from operator import mul

from holdwright.catalogue.anchorage import LoadCase
from holdwright.catalogue.catalogue import Catalogue
from holdwright.joint.card.bolt_figures import Tightened
from holdwright.joint.card.screws import (
    BoltPin,
    Ground,
    ScrewHeld,
    bolt_pins,
    screws_at,
    screws_held,
    screws_needed,
    torque_held,
)
from holdwright.joint.card.torque_window import TorqueWindow, torque_against_spin, torque_window
from holdwright.joint.conditions import Conditions
from holdwright.joint.figure import Figure, sources
from holdwright.joint.holding.joint_shape import JointShape
from holdwright.joint.holding.slip_and_spin import MM_IN_M, Demand, Holding, friction_force, holding
from holdwright.ranges import Range

ENOUGH = 1.0
"""Least spin, slip, lift and overturning."""

SHEAR = "least of the modes a to f of single shear, EN 1995-1-1 equation 8.6, from memory"


@dataclass(frozen=True)
class ClampedHold:
    """One hold with all its bolts tightened."""

    shape: JointShape
    """Pressed by its bolts."""
    conditions: Conditions
    clamp: Range
    """Of all bolts together, N."""
    holding: Holding
    cases: tuple[tuple[LoadCase, Holding], ...]
    """How it holds under each load case of the tables."""
    screws: tuple[ScrewHeld, ...]
    """Wood screws that it has holes for."""
    further: tuple[ScrewHeld, ...]
    """All others that have room, in the order in which they are set."""
    bolts: tuple[BoltPin, ...]
    """Bolts that lock each other against turning."""

    @classmethod
    def of(
        cls, shape: JointShape, tightened: Sequence[Tightened], conditions: Conditions, catalogue: Catalogue
    ) -> "ClampedHold":
        """Clamp a hold; `shape` is pressed by these bolts already."""
        uprights = [each.bore.axis[2] for each in tightened]
        clamp = Range.by(
            lambda *pulls: sum(map(mul, uprights, pulls)), *(each.preload.residual for each in tightened)
        )
        reach, friction = conditions.mounted(shape.reach), shape.friction_left(conditions.friction.range)
        middle = float(shape.reach.middle[0]), float(shape.reach.middle[1])
        ground = Ground(conditions.panel, conditions.material.allowable_short or 1.0)
        screws = screws_held(shape.screws, middle, catalogue, ground)
        further = screws_at(shape.sites, conditions.wood_screw, middle, ground)
        bolts = bolt_pins(shape.bores, [each.hardware for each in tightened], middle, ground)
        pinned = torque_held(screws) + torque_held(bolts)

        def held_under(demand: Demand) -> Holding:
            return holding(demand, shape.contact.pressure.friction_radius, clamp, friction, pinned)

        demand = Demand.of(shape.contact, reach, conditions.load)
        cases = tuple(
            (case, held_under(demand.times(case.times(conditions.mass, conditions.factor))))
            for case in catalogue.load_cases
        )
        return cls(shape, conditions, clamp, held_under(demand), cases, screws, further, bolts)

    def window(self, bolt: Tightened, panel_clamp: float) -> tuple[TorqueWindow, Figure]:
        """Give a bolt's usable torques, and the wood screws needed at the one nearest to what is requested.

        `panel_clamp` is the pull up to which its panel bears, N.
        """
        shape, conditions, hardware = self.shape, self.conditions, bolt.hardware
        window = torque_window(shape, conditions, hardware, self.holding, bolt.area, panel_clamp)
        screws = self._screws_needed(window.nearest(conditions.torque))
        if screws.value is None:
            return window, screws
        pinned = torque_held(self.bolts) + torque_held([*self.screws, *self.further[: int(screws.value)]])
        enough = torque_against_spin(shape, conditions, hardware, self.holding, pinned)
        return replace(window, with_further=enough), screws

    def _screws_needed(self, torque: float) -> Figure:
        """Count the wood screws needed where bolts are tightened with `torque`, N m."""
        conditions, load = self.conditions, self.conditions.load
        radius = self.shape.contact.pressure.friction_radius

        def count(clamp: float, friction: float) -> float:
            at_torque = clamp * torque / conditions.torque
            turning = ENOUGH * self.holding.applied_torque - torque_held(self.bolts)
            missing = turning - friction_force(at_torque, load, friction) * radius / MM_IN_M
            needed = screws_needed(missing, self.screws, self.further)
            return math.inf if needed is None else needed

        # Less friction takes more screws.
        counts = Range.by(
            count, self.clamp.reversed, self.shape.friction_left(conditions.friction.range).reversed
        )
        source = (
            "torque beyond that of friction and present screws, carried by screws at the sites farthest from "
            f"the bolts; {SHEAR}; {sources(conditions.wood_screw)}"
        )
        return Figure(counts.likely if math.isfinite(counts.likely) else None, "", source, range=counts)
