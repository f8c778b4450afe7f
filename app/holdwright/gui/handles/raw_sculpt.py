"""The sculpt as it came, for the view: where it lies in another frame, which pieces may be ground blocks."""

from dataclasses import replace
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.repair.ground_block import as_slab
from holdwright.pipeline.display_results import ShownSculpt, Surface

BLOCKY: Final = 2_000
"""Triangles a ground block has at most: few do for a box."""
THINNEST: Final = 1e9
"""Area cubed over volume squared of a sheet; a slab a hundred times as wide as thick has 8e4."""


def placed(sculpt: ShownSculpt, placement: Floats) -> ShownSculpt:
    """Give a raw sculpt as it lies in another frame; the same one where that is its own."""
    if np.array_equal(placement, np.eye(4)):
        return sculpt
    linear, shift = placement[:3, :3].astype(np.float32), placement[:3, 3].astype(np.float32)
    pieces = tuple(
        (name, Surface(surface.vertices @ linear.T + shift, surface.triangles))
        for name, surface in sculpt.pieces
    )
    return replace(sculpt, pieces=pieces)


def slabs_of(sculpt: ShownSculpt) -> set[str]:
    """Name the groups of a sculpt just read that may be ground blocks: before import has said which are."""
    few = {name: each.mesh for name, each in sculpt.pieces if len(each.triangles) <= BLOCKY}
    return {name for name, mesh in few.items() if len(sculpt.pieces) > 1 and _is_slab(mesh)}


def _is_slab(mesh: Mesh) -> bool:
    if mesh.area**3 > THINNEST * mesh.volume**2:
        return False
    slab = as_slab(mesh if mesh.volume > 0.0 else mesh.flipped())
    return slab is not None and not len(mesh.open_edges)
