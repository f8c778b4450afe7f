"""Between which torques a joint holds and does not crush its seat."""

from collections.abc import Mapping
from dataclasses import dataclass

from holdwright.joint.conditions import BoltAssembly, Conditions
from holdwright.joint.joint_shape import JointShape
from holdwright.joint.preload import torque_for
from holdwright.joint.slip_and_spin import MM_IN_M, Holding

BY_SCREWS = ("spin",)
"""What wood screws hold in place of friction."""


@dataclass(frozen=True)
class TorqueWindow:
    """Torques that are enough and not too much, N m."""

    enough: Mapping[str, float]
    """For each of "spin" and "overturning", the torque from which it is held. Slip is not among them, since
    the bolt's shank stops it, nor lift, which loosens a hold in time but does not let it go."""
    too_much: Mapping[str, float]
    """For each of "seat" and "bolt", the torque up to which it bears."""

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
        """The window where wood screws keep the hold from turning; None where there is none."""
        return self._from(max(torque for why, torque in self.enough.items() if why not in BY_SCREWS))

    @property
    def governs(self) -> str:
        """What requires the highest torque."""
        return max(self.enough, key=lambda why: self.enough[why])

    def _from(self, least: float) -> tuple[float, float] | None:
        return (least, self.most) if least <= self.most else None


def torque_window(
    shape: JointShape,
    conditions: Conditions,
    hardware: BoltAssembly,
    held: Holding,
    area: float,
) -> TorqueWindow:
    """Find the window, by the likely friction, nut factor and residual preload.

    Parameters
    ----------
    held
        The figures of the hold, at any torque.
    area
        Of the seat, mm2.
    """
    load, friction, d = conditions.load, conditions.friction.nominal, hardware.screw.d
    bolts = len(shape.bores)
    radius = shape.contact.pressure.friction_radius
    needed = {
        "spin": load.outward
        + max(held.applied_torque - held.pinned_torque, 0.0) * MM_IN_M / (friction * radius),
        "overturning": held.pry,
    }
    factor = conditions.nut_factor
    return TorqueWindow(
        enough={
            why: torque_for(force / bolts / conditions.residual.likely, factor.nominal, d)
            for why, force in needed.items()
        },
        too_much={
            "seat": torque_for(conditions.allowable * area, factor.nominal, d),
            "bolt": torque_for(max(hardware.proof - held.pry / bolts, 0.0), factor.nominal, d),
        },
    )
