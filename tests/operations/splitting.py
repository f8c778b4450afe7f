"""Holds bored and screwed by plain cutters, to be split."""

import numpy as np
from manifold3d import Manifold

from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.mesh.boolean import subtract
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.frustum import Frustum, turn_to
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Rim, ScrewHole
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.operations.split_core import SplitCore, SplitCoreParameters

SCREW, WASHER = CutBoreParameters().screw, CutBoreParameters().washer


def bored(solid: Solid, *bores: Bore, rim: float = 0.0) -> Hold:
    """Bore a solid by plain cylinders and record the bores, as the step before does."""
    cutters = []
    for bore in bores:
        foot, seat = (bore.x, bore.y, 0.0), bore.seat_z / bore.axis[2]
        shank = bore.clearance_diameter / 2
        cutters.append(Frustum(foot, bore.axis, shank, shank, seat + 1.0, -50.0).solid)
        pocket = Manifold.cylinder(200.0, bore.pocket_diameter / 2, -1, 128).translate((0, 0, seat))
        cutters.append(Solid.checked(pocket).moved(placement(turn_to(np.array(bore.axis)), np.array(foot))))
    features = (Rim(rim, 0.0, 0.0, 0.0, 1, 0), *bores)
    return Hold(sized=True).with_whole(subtract(solid, cutters), *features)


def bore(x=0.0, y=0.0, seat=20.0, pocket=31.0, axis=(0.0, 0.0, 1.0), clearance=11.0) -> Bore:
    return Bore(x, y, axis, clearance, pocket, seat, seat, SCREW, WASHER)


def split(hold: Hold, run: Run, **parameters: object) -> Outcome:
    return SplitCore().apply(hold, SplitCoreParameters(**parameters), run)


def whole_again(outcome: Outcome) -> float:
    return sum(solid.volume for solid in outcome.hold.solids.values())


def screwed(hold: Hold, *holes: ScrewHole) -> Hold:
    """Cut screw holes and record them, as the step before does."""
    whole = hold.whole
    for hole in holes:
        whole = cut_hole(whole, hole.hole, hole.seat + 60.0).solid
    return hold.with_whole(whole, *holes)


def screw(x=50.0, y=0.0, seat=57.0, axis=(0.0, 0.0, 1.0)) -> ScrewHole:
    return ScrewHole(x, y, axis, 5.5, 10.4, 90.0, seat, seat, "5 mm countersunk wood screw")
