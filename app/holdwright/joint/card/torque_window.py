"""Between which torques a joint holds and does not crush its seat."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from holdwright.joint.conditions import BoltAssembly, Conditions
from holdwright.joint.fasteners.preload import torque_for
from holdwright.joint.holding.joint_shape import JointShape
from holdwright.joint.holding.slip_and_spin import MM_IN_M, Holding


@dataclass(frozen=True)
class TorqueWindow:
    """Torques that are enough and not too much, N m."""

    enough: Mapping[str, float]
    """For each of "spin" and "overturning", the torque from which it is held. Slip is not among them, since
    the bolt's shank stops it, nor lift, which loosens a hold in time but does not let it go."""
    too_much: Mapping[str, float]
    """For each of "seat", "bolt" and "panel", the torque up to which it bears."""
    with_further: float | None = None
    """What is enough for spin once the further screws needed are set; None where they have no room."""

    @property
    def most(self) -> float:
        """Least of the upper limits."""
        return min(self.too_much.values())

    @property
    def range(self) -> tuple[float, float] | None:
        """The window; None where there is none."""
        return self._from(max(self.enough.values()))

    @property
    def range_with_screws(self) -> tuple[float, float] | None:
        """The window once the further screws needed are set; None where there is none."""
        if self.with_further is None:
            return None
        return self._from(max(self.enough["overturning"], self.with_further))

    @property
    def governs(self) -> str:
        """What requires the highest torque."""
        return max(self.enough, key=lambda why: self.enough[why])

    def nearest(self, torque: float) -> float:
        """Give the torque nearest to a requested one that keeps a hold from overturning, and that bears."""
        low = self.enough["overturning"]
        return max(low, min(torque, self.most)) if low <= self.most else torque

    def _from(self, least: float) -> tuple[float, float] | None:
        return (least, self.most) if least <= self.most else None


def torque_window(
    shape: JointShape,
    conditions: Conditions,
    hardware: BoltAssembly,
    held: Holding,
    area: float,
    panel_clamp: float,
) -> TorqueWindow:
    """Find the window, by the likely friction, nut factor and residual preload.

    Parameters
    ----------
    held
        The figures of the hold, at any torque.
    area
        Of the seat, mm2.
    panel_clamp
        From which the T-nut is pulled through the panel, N.
    """
    factor, d, bolts = conditions.nut_factor.nominal, hardware.screw.d, len(shape.bores)
    return TorqueWindow(
        enough={
            "spin": torque_against_spin(shape, conditions, hardware, held, held.pinned_torque),
            "overturning": _torque_of(held.pry, shape, conditions, hardware),
        },
        too_much={
            "seat": torque_for(conditions.allowable * area, factor, d),
            "bolt": torque_for(max(hardware.proof - held.pry / bolts, 0.0), factor, d),
            "panel": torque_for(panel_clamp, factor, d),
        },
    )


def torque_against_spin(
    shape: JointShape, conditions: Conditions, hardware: BoltAssembly, held: Holding, pinned: float
) -> float:
    """Torque in N m that is enough where screws and locking bolts carry `pinned`, N m."""
    missing = max(held.applied_torque - pinned, 0.0)
    if missing <= 0.0:
        return 0.0
    friction = shape.friction_left(conditions.friction.range).likely
    if friction <= 0.0:
        return math.inf
    radius = shape.contact.pressure.friction_radius
    force = conditions.load.outward + missing * MM_IN_M / (friction * radius)
    return _torque_of(force, shape, conditions, hardware)


def _torque_of(force: float, shape: JointShape, conditions: Conditions, hardware: BoltAssembly) -> float:
    """Torque in N m by which all bolts together are likely to clamp with a force (N) for years."""
    each = force / sum(bore.axis[2] for bore in shape.bores) / conditions.residual.likely
    return torque_for(each, conditions.nut_factor.nominal, hardware.screw.d)
