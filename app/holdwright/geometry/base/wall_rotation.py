"""How a hold is turned so that its back meets the wall: back to -z, up to +y."""

import numpy as np

from holdwright.geometry.arrays import Floats

_LYING = np.cos(np.radians(30.0))
_ROUNDING = 1e-9


def to_wall(outward: Floats, turn: float = 0.0) -> Floats:
    """Give the rotation that takes `outward` to +z and the sculpt's own up to +y.

    Parameters
    ----------
    outward
        (3,) unit vector, from the wall into the hold.
    turn
        Degrees to turn the hold about the wall's normal, counter-clockwise seen from in front.

    Returns
    -------
    Floats
        (3, 3) rotation.

    Notes
    -----
    Which way is up on the wall cannot be read off a shape, so it is taken from the axes the sculpt came with
    and never from its mesh: a revised sculpt is turned the same way. Up is the file's +y as far as the wall
    allows. Where the sculpt lay on the ground (`outward` within 30 degrees of +y) up is the file's -z, away
    from somebody who looks down on it from the front; within 30 degrees of -y it is +z. Both agree with the
    smallest turn that brings `outward` to +z.
    """
    outward = cleaned(outward)
    lying = abs(outward[1]) > _LYING
    up = np.array([0.0, 0.0, -np.sign(outward[1])] if lying else [0.0, 1.0, 0.0])
    up -= (up @ outward) * outward
    up /= np.linalg.norm(up)
    return np.asarray(about_z(turn) @ np.stack([np.cross(up, outward), up, outward]))


def about_z(degrees: float) -> Floats:
    """Give the (3, 3) rotation about z, counter-clockwise seen from +z; exact at quarter turns."""
    quarter, rest = divmod(degrees, 90.0)
    cosine, sine = np.cos(np.radians(rest)), np.sin(np.radians(rest))
    for _ in range(int(quarter) % 4):
        cosine, sine = -sine, cosine
    return np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])


def cleaned(direction: Floats) -> Floats:
    """Make a unit vector, with parts that are zero but for rounding put to zero."""
    unit = np.asarray(direction, dtype=np.float64) / np.linalg.norm(direction)
    unit = np.where(np.abs(unit) < _ROUNDING, 0.0, unit)
    return np.asarray(unit / np.linalg.norm(unit))
