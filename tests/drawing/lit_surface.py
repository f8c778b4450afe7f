"""What stands before the camera: the solids, cut and moved apart, and the wall behind them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.ndimage import gaussian_filter

from drawing.ambient_light import brightness
from drawing.vertex_normals import SmoothMesh, smooth_mesh_of
from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import cut_by_plane
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import CORE

BODY: Final = 1
CORE_BODY: Final = 2
CUT: Final = 100
"""Added to a part's number where it is a cut face of a section."""
WALL: Final = 250

_WALL_CELLS: Final = 140


@dataclass(frozen=True, eq=False)
class LitSurface:
    """A surface and the light that falls on it."""

    surface: SmoothMesh
    """Parts numbered as above."""
    light: Floats
    """(n,) light at each point; on the wall, its share of what the bare wall gets."""
    shown: Floats
    """(k, 3) points the camera should not miss."""


def lit_surface(
    solids: Mapping[str, Solid], frame: Floats, *, section: float | None, apart: float, wall: bool
) -> LitSurface:
    """Set solids before the camera and light them.

    Parameters
    ----------
    frame
        (3, 3): rows right, up and toward the side the light comes from.
    section, apart, wall
        As of `drawn`.

    Raises
    ------
    ParameterError
        When the section leaves nothing.
    """
    low = np.min([solid.bounds[0] for solid in solids.values()], axis=0)
    high = np.max([solid.bounds[1] for solid in solids.values()], axis=0)
    finest = float(np.linalg.norm(high - low)) / 70.0
    surface: SmoothMesh | None = None
    casters = []
    for name, solid in solids.items():
        if section is not None and solid.bounds[0, 0] >= section:
            continue
        shown = solid
        if section is not None:
            shown = cut_by_plane(solid, np.array([-1.0, 0.0, 0.0]), -section, f"half of the {name}")
        part = smooth_mesh_of(shown, CORE_BODY if name == CORE else BODY, finest)
        corners = shown.vertices[shown.triangles.reshape(-1)]
        if section is not None:
            part = _with_cut_marked(part, section)
        if name == CORE and apart:
            part = replace(part, points=part.points - [0.0, 0.0, apart])
            corners = corners - [0.0, 0.0, apart]
        casters.append(corners)
        surface = part if surface is None else surface.joined(part)
    if surface is None:
        raise ParameterError(
            f"A section at x = {section:g} mm was asked for, but all lies beyond it: "
            f"the hold reaches from {low[0]:.1f} to {high[0]:.1f} mm."
        )
    shade = np.concatenate(casters)
    lit = surface.joined(_wall_behind(surface)) if wall else surface
    light = _softened(brightness(shade, lit.points, lit.normals, frame), lit)
    if wall:
        arriving = light[len(surface.points) :].reshape(_WALL_CELLS + 1, -1)
        # The hard edges that single directions of light leave on a flat wall are softened.
        light[len(surface.points) :] = gaussian_filter(
            arriving / arriving.max(), 1.6, mode="nearest"
        ).reshape(-1)
    return LitSurface(lit, light, surface.points)


def _softened(light: Floats, surface: SmoothMesh, rounds: int = 2) -> Floats:
    """Average light with that of neighbouring points, to blur the edge each single direction's shadow has."""
    start, end = surface.triangles.ravel(), surface.triangles[:, [1, 2, 0]].ravel()
    count = np.bincount(start, minlength=len(light))
    for _ in range(rounds):
        light = (light + np.bincount(start, light[end], len(light)) / count) / 2
    return light


def _with_cut_marked(surface: SmoothMesh, x: float) -> SmoothMesh:
    across = surface.points[surface.triangles][:, :, 0]
    cut = (np.abs(across - x).max(axis=1) < 1e-6) & (surface.normals[surface.triangles[:, 0], 0] > 0.99)
    return replace(surface, part=np.where(cut, surface.part + CUT, surface.part).astype(np.uint8))


def _wall_behind(surface: SmoothMesh) -> SmoothMesh:
    """Give a stretch of wall under the hold, to take its shadow."""
    low, high = surface.points.min(axis=0), surface.points.max(axis=0)
    reach = 1.6 * float((high - low).max())
    line = np.linspace(-reach, reach, _WALL_CELLS + 1)
    x, y = np.meshgrid(line + (low[0] + high[0]) / 2, line + (low[1] + high[1]) / 2, indexing="ij")
    points = np.stack([x, y, np.full_like(x, low[2] - 0.02)], axis=-1).reshape(-1, 3)
    corner = np.arange((_WALL_CELLS + 1) ** 2).reshape(_WALL_CELLS + 1, -1)
    a, b, c, d = corner[:-1, :-1], corner[1:, :-1], corner[1:, 1:], corner[:-1, 1:]
    triangles = np.stack([a, b, c, a, c, d], axis=2).reshape(-1, 3)
    normals = np.tile([0.0, 0.0, 1.0], (len(points), 1))
    return SmoothMesh(points, normals, triangles, np.full(len(triangles), WALL, dtype=np.uint8))
