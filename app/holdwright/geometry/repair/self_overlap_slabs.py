"""Ridding a closed piece of overlap with itself.

The piece is halved across its longest side, again and again where parts still overlap themselves; stretches
that crossed are then parts of their own, and fusing all parts is exact. Where the surface is folded too
tightly for that, as inside a bend narrower than the stroke is thick, that place alone is made anew on a grid.
"""

import numpy as np
from manifold3d import Manifold, OpType

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import components
from holdwright.geometry.mesh.solid import kernel_of, mesh_of
from holdwright.geometry.repair.grid_rebuild import Rebuilt, rebuilt
from holdwright.geometry.repair.overlap_detection import LEAST, lines_through

_ROUNDS = 9
_MOST_PARTS = 2000
_LINES = 6_000
_MOST_ANEW = 0.6
"""Where more of the volume than this would be made anew, the whole is."""

_LOCAL_FINENESS = 40.0


def untangled(kernel: Manifold, volume: float, voxel: float | None) -> Rebuilt | None:
    """Resolve a closed piece's overlap with itself; None where it had better be made anew as a whole.

    Parameters
    ----------
    kernel
        Closed and outward as a whole.
    volume
        What it should enclose, by lines: what comes out is held against it.
    voxel
        Widest grid for places made anew, or None.
    """
    sound, tangled = _parts(kernel, volume)
    anew = sum(float(part.volume()) for part in tangled) / volume
    if anew > _MOST_ANEW:
        return None
    used = 0.0
    for low, high in _places(tangled):
        size = float((high - low).max()) / _LOCAL_FINENESS
        size = min(size, voxel) if voxel else size
        mended = _made_anew(kernel, low, high, size)
        if mended is None:
            return None
        sound.append(mended)
        used = max(used, size)
    fused = Manifold.batch_boolean(sound, OpType.Add)
    if fused.num_tri() == 0:
        return None
    after = lines_through([mesh_of(fused)], 4 * _LINES)
    off = abs(float(fused.volume()) - volume)
    if off > 4e-3 * volume or after.share[0] > 4 * LEAST:
        return None
    return Rebuilt(fused, used, anew if used else 0.0)


def _parts(kernel: Manifold, volume: float) -> tuple[list[Manifold], list[Manifold]]:
    """Part a piece until its parts do not overlap themselves; what still does comes second."""
    sound: list[Manifold] = []
    tangled = [kernel]
    for _ in range(_ROUNDS):
        halves = [part for each in tangled for part in _halved(each)]
        if not halves or len(halves) + len(sound) > _MOST_PARTS:
            break
        met = lines_through([mesh_of(part) for part in halves], _LINES)
        crossed = met.doubled > np.maximum(LEAST / 4 * volume / len(halves), 2e-3 * met.volume)
        sound += [part for part, still in zip(halves, crossed, strict=True) if not still]
        tangled = [part for part, still in zip(halves, crossed, strict=True) if still]
        if not tangled:
            break
    return sound, tangled


def _halved(kernel: Manifold) -> list[Manifold]:
    """Cut across the middle of the longest side, and give the connected parts that hold any volume."""
    box = np.array(kernel.bounding_box()).reshape(2, 3)
    axis = int(np.argmax(box[1] - box[0]))
    # Not quite the middle: modelled things like to have vertices there.
    at = float(box[0, axis] + 0.4983 * (box[1, axis] - box[0, axis]))
    sides = kernel.split_by_plane(tuple(np.eye(3)[axis]), at)
    parts = [part for side in sides if side.num_tri() > 0 for part in components(side)]
    outward = [_outward(part) for part in parts if part.volume() != 0]
    # A sliver may collapse on its way back through the kernel.
    return [part for part in outward if part.num_tri() > 0]


def _outward(part: Manifold) -> Manifold:
    """Turn a fold that is inside out: what shows of it is part of the piece all the same."""
    return part if part.volume() > 0 else kernel_of(mesh_of(part).flipped())


def _places(parts: list[Manifold]) -> list[tuple[Floats, Floats]]:
    """Give boxes round parts, those that meet made one."""
    boxes = [tuple(np.array(part.bounding_box()).reshape(2, 3)) for part in parts]
    apart: list[tuple[Floats, Floats]] = []
    while boxes:
        low, high = boxes.pop()
        slack = 0.02 * (high - low)
        near = [
            place
            for place, (other_low, other_high) in enumerate(apart)
            if (low - slack <= other_high).all() and (other_low <= high + slack).all()
        ]
        if not near:
            apart.append((low, high))
            continue
        other = apart.pop(near[0])
        boxes.append((np.minimum(low, other[0]), np.maximum(high, other[1])))
    return apart


def _made_anew(kernel: Manifold, low: Floats, high: Floats, voxel: float) -> Manifold | None:
    """Make the surface anew within a box, with a margin that is cut off, so that seams are exact."""
    margin = 4.0 * voxel
    place = kernel ^ _box(low - margin, high + margin)
    made = rebuilt(mesh_of(place), voxel)
    if made is None:
        return None
    return made.kernel.simplify(voxel / 20) ^ _box(low - voxel / 2, high + voxel / 2)


def _box(low: Floats, high: Floats) -> Manifold:
    return Manifold.cube(tuple(high - low)).translate(tuple(low))
