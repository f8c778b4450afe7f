"""Screw holes cut in tests, by hand or where the step finds room."""

import math

import numpy as np
from manifold3d import Manifold

from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from holdwright.operations.cut_screw_hole import CutScrewHole, CutScrewHoleParameters


def hold_of(solid: Solid, *features) -> Hold:
    return Hold(sized=True).with_whole(solid, *features)


def bored(solid: Solid, run: Run, at: tuple[float, float] = (0.0, 0.0)) -> Hold:
    return CutBore().apply(hold_of(solid), CutBoreParameters(place="at", at=at), run).hold


def cut(hold: Hold, run: Run, **parameters: object) -> Outcome:
    return CutScrewHole().apply(hold, CutScrewHoleParameters(**parameters), run)


def at(hold: Hold, run: Run, x: float, y: float, **parameters: object) -> Outcome:
    return cut(hold, run, place="at", at=(x, y), **parameters)


def removed(before: Hold, outcome: Outcome) -> float:
    return before.whole.volume - outcome.hold.whole.volume


def cone(r: float, big_r: float, height: float) -> float:
    """Volume of a cone frustum."""
    return math.pi / 3 * (r * r + r * big_r + big_r * big_r) * height


def on(solid: Manifold, *more: Manifold) -> Solid:
    return Solid.checked(sum(more, start=solid))


def box(x, y, z) -> Manifold:
    low, high = np.array([x, y, z], dtype=float).T
    return Manifold.cube(tuple(high - low)).translate(tuple(low))
