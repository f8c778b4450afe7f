"""Axes about which a shape may be turned without any change.

As in N. Gelfand and L. Guibas, Shape segmentation using local slippage analysis, 2004: motions whose speed
lies within the surface everywhere.
"""

from typing import Final

import numpy as np
from scipy.spatial.transform import Rotation

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.shape_points import ShapePoints

SLIPS: Final = 0.03
"""Share of its radius by which a surface may stand out of itself, root mean square, for a turn by a radian: a
drum of 60 flat sides does so."""


def slipping_axes(shape: ShapePoints) -> Floats:
    """Give the unit axes (k, 3) through its middle about which a shape slips on itself: 0, 1 or 3."""
    arms = (shape.points - shape.middle) / shape.radius
    speed = np.cross(arms, shape.normals)
    strength, axes = np.linalg.eigh(speed.T @ speed / len(speed))
    return np.asarray(axes.T[np.sqrt(np.maximum(strength, 0.0)) < SLIPS])


def least_turned(rotation: Floats, axes: Floats) -> Floats:
    """Give a rotation (3, 3), turned about slipping axes beforehand, so that in all it turns least."""
    if len(axes) == 0:
        return rotation
    if len(axes) > 1:
        return np.eye(3)
    *vector, scalar = Rotation.from_matrix(rotation).as_quat()
    back = -2.0 * np.arctan2(np.array(vector) @ axes[0], scalar)
    return np.asarray(rotation @ Rotation.from_rotvec(back * axes[0]).as_matrix())
