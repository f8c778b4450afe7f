"""Soft light from a window: how much of the sky each point of a surface sees.

The light is a dome, brighter from above to the left. For each of its directions the surface is looked at
along parallel rays, as in Williams, "Casting curved shadows on curved surfaces", SIGGRAPH 1978; the share of
light that arrives is summed over the directions.
"""

from typing import Final

import numpy as np

from drawing.camera import parallel_camera
from drawing.rasteriser import FrameBuffer
from holdwright.geometry.arrays import Floats

_PIXELS: Final = 512


def sky(frame: Floats, directions: int = 112) -> tuple[Floats, Floats]:
    """Give the light as directions and weights.

    Parameters
    ----------
    frame
        (3, 3): rows right, up and toward the open side; nothing shines from behind it.
    directions
        How many; more is smoother and slower.

    Returns
    -------
    (n, 3) unit vectors toward the light, and (n,) weights such that a free facet square to the window gets 1.
    """
    number = np.arange(directions)
    # Equal areas of the half dome (Fibonacci lattice), kept a little off its very edge.
    height = 1 - (number + 0.5) / directions * 0.97
    turn = number * np.pi * (3 - np.sqrt(5))
    across = np.sqrt(1 - height**2)
    toward = np.stack([across * np.cos(turn), across * np.sin(turn), height], axis=1)
    window = np.array([-0.52, 0.66, 0.54]) / np.linalg.norm([-0.52, 0.66, 0.54])
    closeness = toward @ window
    weights = 0.30 + 0.20 * toward[:, 1] + 3.4 * np.exp(9.0 * (closeness - 1.0))
    return toward @ frame, weights / (weights * np.maximum(closeness, 0.0)).sum()


def brightness(casters: Floats, points: Floats, normals: Floats, frame: Floats) -> Floats:
    """Light that arrives at points.

    Parameters
    ----------
    casters
        (3m, 3) corners of the triangles that keep light away, mm.
    points, normals
        (n, 3) where light arrives, and the unit normals there.
    frame
        As of `sky`.

    Returns
    -------
    (n,) float64: 1 for a free facet square to the window.
    """
    low, high = casters.min(axis=0), casters.max(axis=0)
    centre, radius = (low + high) / 2, float(np.linalg.norm(high - low)) / 2 * 1.02
    lifted = points + normals * (0.008 * radius) - centre
    total = np.zeros(len(points))
    screen = FrameBuffer(casters, (_PIXELS, _PIXELS))
    try:
        for toward, weight in zip(*sky(frame), strict=True):
            facing = normals @ toward
            lit = np.flatnonzero(facing > 0.0)
            total[lit] += weight * facing[lit] * _seen(screen, lifted[lit], toward, centre, radius)
    finally:
        screen.close()
    return total


def _seen(screen: FrameBuffer, offsets: Floats, toward: Floats, centre: Floats, radius: float) -> Floats:
    """Which points (offsets from `centre`) see the sky in one direction: 1.0 or 0.0 each."""
    camera = parallel_camera(toward, centre, radius)
    screen.look(camera)
    depth = screen.depth()
    right, up, near = offsets @ camera.frame[0], offsets @ camera.frame[1], offsets @ camera.frame[2]
    column = np.rint((right / radius + 1) / 2 * _PIXELS - 0.5).astype(np.int64)
    row = np.rint((1 - up / radius) / 2 * _PIXELS - 0.5).astype(np.int64)
    inside = (column >= 0) & (column < _PIXELS) & (row >= 0) & (row < _PIXELS)
    free = np.ones(len(offsets))
    free[inside] = 3 * radius - near[inside] < depth[row[inside], column[inside]] + 0.006 * radius
    return free
