"""How much of its strength a printed material uses under a stress.

What tears along the layers is judged by von Mises' stress; what parts the layers by the traction across
them, tension and shear by the strength against either, squared and added as of a glued joint or of a
composite (Hashin, J. Appl. Mech. 47, 1980, from memory). Pressure across layers closes them.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats, Mask
from holdwright.strength.cell_grid import Singles
from holdwright.strength.measure import von_mises

SHEARED: Final = 0.7
"""Strength against shear between layers by that against their parting: common practice, no source."""


@dataclass(frozen=True, eq=False)
class Borne:
    """What the material bears at each of some places, MPa."""

    along: Floats
    """(n,) along the layers."""
    across: Floats
    """(n,) pulling layers apart."""


def parting(stress: Floats, direction: Floats) -> Floats:
    """Give what parts layers (n,), MPa: of stresses (n, 6), layers square to a (3,) unit direction."""
    x, y, z, yz, zx, xy = stress.T
    a, b, c = direction
    pull = np.stack([x * a + xy * b + zx * c, xy * a + y * b + yz * c, zx * a + yz * b + z * c])
    normal = pull[0] * a + pull[1] * b + pull[2] * c
    shear = np.maximum((pull * pull).sum(axis=0) - normal * normal, 0.0)
    return np.asarray(np.sqrt(np.maximum(normal, 0.0) ** 2 + shear / SHEARED**2))


def strength_used(stress: Singles, borne: Borne, direction: Floats) -> tuple[Floats, Mask]:
    """Give the share of its strength that is used (n,), and whether layers part first."""
    wide = stress.astype(np.float64)
    along, across = von_mises(wide) / borne.along, parting(wide, direction) / borne.across
    return np.asarray(np.maximum(along, across)), np.asarray(across > along)
