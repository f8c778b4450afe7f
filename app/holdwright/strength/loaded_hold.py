"""A hold as its strength is computed: solids, tightened bolts, wall, and where it can be loaded."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats, Mask
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import Hold
from holdwright.joint.card.joint_card import JointCard
from holdwright.joint.fasteners.bearing import pressing_diameter
from holdwright.joint.fasteners.stiffness import bolt_stiffness
from holdwright.joint.holding.joint_shape import JointShape, grip_of, in_one
from holdwright.joint.holding.loads import Load, Loads

BESIDE: Final = 3.0
BELOW: Final = 6.0
"""What of the hold is beside and below a washer by less than this (mm) is left out of the measure: what the
seat
bears there is judged by the joint."""


@dataclass(frozen=True, eq=False)
class TightenedBolt:
    """A bolt that pulls its washer onto the hold."""

    seat: Floats
    """(3,) middle of its seat, mm."""
    axis: Floats
    """(3,) unit vector off the wall."""
    hole: float
    pressing: float
    """hole, pressing: diameters of the hole, and of washer or head, mm."""
    pull: float
    """What is likely left of its preload, N."""
    stiffness: float
    """N/mm."""

    def near_washer(self, points: Floats) -> Mask:
        """Tell which points (n, 3) the measure leaves out round this bolt."""
        away = points - self.seat
        height = away @ self.axis
        beside = np.linalg.norm(away - height[:, None] * self.axis, axis=1)
        return np.asarray((beside < self.pressing / 2.0 + BESIDE) & (np.abs(height) < BELOW))


@dataclass(frozen=True, eq=False)
class LoadedHold:
    """A hold on its wall."""

    parts: Mapping[str, Solid]
    """The printed ones by name, finished back on z = 0, mm."""
    whole: Solid
    """All of it in one."""
    grip: Mesh
    """Where it can be loaded."""
    bolts: tuple[TightenedBolt, ...]
    wall: float
    """Stiffness of the wall square to it, MPa/mm."""
    middle: Floats
    """(2,) of the bolts, mm."""
    loads: Loads
    """Outermost points by direction, as the hold is mounted."""
    load: Load
    """What it is judged for, N."""

    @classmethod
    def of(cls, hold: Hold, shape: JointShape, cards: Sequence[JointCard]) -> "LoadedHold":
        """Take bolts, wall and loads from the joint of a hold."""
        conditions, whole = cards[0].conditions, in_one(hold)
        panel = conditions.panel
        return cls(
            hold.solids,
            whole,
            grip_of(hold, whole),
            tuple(map(_bolt, cards)),
            panel.modulus_across * 1000.0 / panel.thickness,
            shape.reach.middle,
            conditions.mounted(shape.reach).loads,
            conditions.load,
        )


def _bolt(card: JointCard) -> TightenedBolt:
    bore, screw = card.bore, card.hardware.screw
    axis = np.array(bore.axis)
    return TightenedBolt(
        np.array([bore.x, bore.y, 0.0]) + bore.seat * axis,
        axis,
        bore.clearance_diameter,
        pressing_diameter(screw, card.hardware.washer),
        card.preload.residual.likely,
        bolt_stiffness(screw.stress_area, bore.seat + card.conditions.panel.thickness),
    )
