"""What a joint's figures need of a hold's shape, measured once however often the bolt is changed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.boolean import union
from holdwright.geometry.mesh.frustum import Frustum
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.cut_surfaces import hold_surface
from holdwright.hold.feature import BackPocket, Bore, PartingFace, Rim, ScrewHole
from holdwright.hold.hold import Hold
from holdwright.joint.fasteners.bearing import SeatCover, seat_cover
from holdwright.joint.holding.cone_reach import RIGID, WallSupport, reach_of
from holdwright.joint.holding.contact import Contact, contact_of
from holdwright.joint.holding.loadable import loads_on
from holdwright.joint.holding.loads import Loads, Reach
from holdwright.joint.holding.pressure import ClampCone
from holdwright.joint.holding.screw_sites import ScrewSite, screw_sites
from holdwright.ranges import Range


@dataclass(frozen=True, eq=False)
class JointShape:
    """A hold as its joint sees it."""

    bores: tuple[Bore, ...]
    """Its bores; together they clamp it."""
    covers: tuple[SeatCover, ...]
    """Of the seat of each bore."""
    contact: Contact
    """With the wall, origin at the middle of the bores, pressed by what just goes into their pockets."""
    reach: Reach
    """The outermost points a climber can load; the rim is no grip."""
    screws: tuple[ScrewHole, ...] = ()
    """Holes for wood screws, which keep it from turning."""
    sites: tuple[ScrewSite, ...] = ()
    """Where further ones have room, in the order in which they are best set."""
    cores: tuple[Frustum, ...] = ()
    """Solid cores that were split off; none where the hold is whole, which counts as solid."""
    pockets: tuple[BackPocket, ...] = ()
    """Those that relieve its back."""

    def under(self, pressing: Sequence[float], walls: Sequence[WallSupport]) -> "JointShape":
        """Press each bore's seat on such a wall with a head or washer of such a diameter, mm."""
        cones = _cones(self.bores, pressing, self.reach.middle, walls)
        return replace(self, contact=replace(self.contact, cones=tuple(cones)))

    def friction_left(self, friction: Range) -> Range:
        """Give the friction that leaning bolts, which pull alike, leave: their side force is taken off it."""
        x, y, off = np.sum([bore.axis for bore in self.bores], axis=0)
        leaning = float(np.hypot(x, y) / off)
        return Range.by(lambda mu: max(mu - leaning, 0.0), friction)


def joint_shape(hold: Hold, whole: Hold | None = None, loads: Loads | None = None) -> JointShape:
    """Measure a finished hold, whole or split.

    Parameters
    ----------
    whole
        The hold before it was split, where that is at hand.
    loads
        Where it can be loaded, as of `loads_on_hold`, where that is known.

    Raises
    ------
    GeometryError
        When it has no bore or no back, or its contact does not surround its bolts.
    """
    bores = hold.find(Bore)
    if not bores:
        raise GeometryError("The hold has no bore, so that there is no joint to reckon; add a step Cut bore.")
    solid = in_one(whole or hold)
    middle = np.mean([(bore.x, bore.y) for bore in bores], axis=0)
    covers = tuple(seat_cover(solid, bore) for bore in bores)
    cones = _cones(bores, [bore.pocket_diameter for bore in bores], middle, [RIGID] * len(bores))
    contact = contact_of(solid, middle, cones)
    reach = Reach(middle, loads or loads_on_hold(hold, solid))
    screws = hold.find(ScrewHole)
    return JointShape(
        bores,
        covers,
        contact,
        reach,
        screws,
        screw_sites(solid, bores, screws),
        tuple(_core(face) for face in hold.find(PartingFace)),
        hold.find(BackPocket),
    )


def loads_on_hold(hold: Hold, solid: Solid) -> Loads:
    """Give where a hold, all of it in one solid, can be loaded: back, bores and rim are no grip."""
    rims = hold.find(Rim)
    return loads_on(grip_of(hold, solid), rims[-1].height if rims else 0.0)


def grip_of(hold: Hold, solid: Solid) -> Mesh:
    """Give the surface of a hold, all of it in one solid, without back and bores."""
    return Mesh.joined(hold_surface(solid.mesh, hold.features).grip())


def _core(face: PartingFace) -> Frustum:
    foot = face.x, face.y, 0.0
    return Frustum(foot, face.axis, face.wall_diameter / 2.0, face.top_diameter / 2.0, face.top)


def _cones(
    bores: Sequence[Bore], pressing: Sequence[float], middle: Floats, walls: Sequence[WallSupport]
) -> list[ClampCone]:
    """Give the bolts' cones, origin at their middle. A leaning one counts from its foot."""
    return [
        ClampCone(
            bore.x - float(middle[0]),
            bore.y - float(middle[1]),
            reach_of(bore.seat, diameter, bore.clearance_diameter, wall),
            bore.clearance_diameter / 2.0,
            diameter / 2.0,
        )
        for bore, diameter, wall in zip(bores, pressing, walls, strict=True)
    ]


def in_one(hold: Hold) -> Solid:
    """Put shell and core together again: they fill the whole without gap."""
    solids = list(hold.solids.values())
    return solids[0] if len(solids) == 1 else union(solids, "the hold put together again")
