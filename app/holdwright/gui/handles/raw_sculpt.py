"""The sculpt as it came, for the view: where it lies in another frame, which pieces may be ground blocks."""

from dataclasses import replace
from typing import Final

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.ground_block import as_slab
from holdwright.pipeline.display_results import ShownSculpt, Surface

BLOCKY: Final = 5_000
"""Triangles a ground block has at most: few do for a box."""


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
    found = set()
    for name, surface in sculpt.pieces:
        if len(sculpt.pieces) > 1 and len(surface.triangles) <= BLOCKY:
            try:
                solid = Solid.from_triangles(surface.mesh.vertices, surface.mesh.triangles, name)
            except GeometryError:  # open: no block
                continue
            if as_slab(solid) is not None:
                found.add(name)
    return found
