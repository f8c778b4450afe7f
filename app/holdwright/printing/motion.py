"""How long a nozzle takes for its moves."""

import numpy as np

from holdwright.geometry.arrays import Floats


def move_time(length: Floats, speed: float, acceleration: float, corner: float) -> Floats:
    """Time in s of moves that begin and end at the speed kept through a corner.

    Parameters
    ----------
    length
        mm.
    speed, corner
        Greatest speed, and that at both ends, mm/s.
    acceleration
        mm/s2.

    Notes
    -----
    Uniform acceleration (any text on kinematics): a trapezoid of speed over time, or a triangle where the
    move is too short for full speed.
    """
    length = np.asarray(length, dtype=np.float64)
    corner = min(corner, speed)
    ramps = (speed**2 - corner**2) / acceleration
    peak = np.sqrt(corner**2 + acceleration * np.minimum(length, ramps))
    return np.asarray(2.0 * (peak - corner) / acceleration + np.maximum(length - ramps, 0.0) / speed)
