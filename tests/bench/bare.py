"""What a replay does, in bare kernel calls: no search, no check beyond the kernel's own, no words."""

import numpy as np
from manifold3d import CrossSection, Error, FillRule, Manifold, Mesh64, OpType

from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import BackPocket, Bore, Collar, GroundBlock, PartingFace, Rim, ScrewHole, TipCut
from holdwright.hold.hold import Hold

DETAIL = 0.02
"""The starter recipe's, mm."""


def bare_replay(sculpt: Sculpt, made: Hold) -> tuple[float, float]:
    """Make the same shell and core from the sculpt; `made` tells placements, planes and cutters."""
    ground = {block.name for block in made.find(GroundBlock)}
    pieces = [
        _outward(piece.vertices, piece.triangles) for piece in sculpt.pieces if piece.name not in ground
    ]
    fused = Manifold.batch_boolean(pieces, OpType.Add)
    largest = max(fused.decompose(), key=lambda body: body.volume())
    scale = float(np.cbrt(np.linalg.det(made.placement[:3, :3])))
    light = largest.as_original().simplify(DETAIL / scale)
    hold = light.transform(made.placement[:3, :4])
    rim = made.find(Rim)[0]
    above = hold.trim_by_plane((0.0, 0.0, 1.0), rim.height)
    straight = above.slice(rim.height).extrude(rim.height)
    trimmed = above + straight
    cutters = [_tip_cutter(tip) for tip in made.find(TipCut)]
    whole = Manifold.batch_boolean([trimmed, *cutters], OpType.Subtract) if cutters else trimmed
    return _bored_and_split(whole, made)


def bare_bore_and_split(whole: Solid, made: Hold) -> tuple[float, float]:
    """Bore, screw, relieve and split a hold that is finished so far."""
    return _bored_and_split(whole.kernel, made)


def bare_bore(whole: Solid, made: Hold) -> float:
    """Only bore it; gives the volume, mm3."""
    return float(_bored(whole.kernel, made).volume())


def _bored(whole: Manifold, made: Hold) -> Manifold:
    low, high = whole.bounding_box()[2] - 1.0, whole.bounding_box()[5] + 1.0
    return Manifold.batch_boolean(
        [whole, *(_hole_cutter(bore, low, high) for bore in made.find(Bore))], OpType.Subtract
    )


def _bored_and_split(whole: Manifold, made: Hold) -> tuple[float, float]:
    """Give the volumes of shell and core, mm3."""
    low, cut = whole.bounding_box()[2] - 1.0, _relieved(_bored(whole, made), made)
    cores = [_core_cutter(face, low) for face in made.find(PartingFace)]
    cores += [_collar(each, low) for each in made.find(Collar)]
    core, shell = cut.split(cores[0] if len(cores) == 1 else Manifold.batch_boolean(cores, OpType.Add))
    if not all(part.status() == Error.NoError and part.num_tri() > 0 for part in (shell, core)):
        raise ValueError("The bare calls gave no solid.")
    return shell.volume(), core.volume()


def _relieved(bored: Manifold, made: Hold) -> Manifold:
    """Cut the screw holes and the pocket in the back, if any."""
    low, high = bored.bounding_box()[2] - 1.0, bored.bounding_box()[5] + 1.0
    cutters = [_screw_cutter(screw, low, high) for screw in made.find(ScrewHole)]
    for pocket in made.find(BackPocket):
        outline = CrossSection(pocket.drawn, FillRule.NonZero)
        cutters.append(Manifold.extrude(outline, pocket.depth - low).translate((0.0, 0.0, low)))
    return Manifold.batch_boolean([bored, *cutters], OpType.Subtract) if cutters else bored


def _outward(vertices: np.ndarray, triangles: np.ndarray) -> Manifold:
    writeable = vertices.copy()  # the kernel takes no read-only arrays
    kernel = Manifold(Mesh64(writeable, np.ascontiguousarray(triangles, dtype=np.uint64)))
    if kernel.volume() > 0:
        return kernel
    return Manifold(Mesh64(writeable, np.ascontiguousarray(triangles[:, ::-1], dtype=np.uint64)))


def _tip_cutter(tip: TipCut) -> Manifold:
    return _upright(Manifold.cylinder(3 * tip.width, 1.5 * tip.width), tip.place, tip.normal)


def _hole_cutter(bore: Bore, low: float, high: float) -> Manifold:
    hole, pocket, seat = bore.clearance_diameter / 2, bore.pocket_diameter / 2, bore.seat_z / bore.axis[2]
    profile = [(0, low), (hole, low), (hole, seat), (pocket, seat), (pocket, high), (0, high)]
    return _upright(Manifold.revolve(CrossSection([profile]), 128), (bore.x, bore.y, 0.0), bore.axis)


def _screw_cutter(screw: ScrewHole, low: float, high: float) -> Manifold:
    hole, head = screw.diameter / 2, screw.head_diameter / 2
    mouth = screw.seat + (head - hole) / np.tan(np.radians(screw.cone_angle / 2))
    profile = [(0, low), (hole, low), (hole, screw.seat), (head, mouth), (head, high), (0, high)]
    return _upright(Manifold.revolve(CrossSection([profile]), 128), (screw.x, screw.y, 0.0), screw.axis)


def _collar(collar: Collar, low: float) -> Manifold:
    cylinder = Manifold.cylinder(collar.top - low, collar.diameter / 2, -1.0, 128).translate((0, 0, low))
    return _upright(cylinder, (collar.x, collar.y, 0.0), collar.axis)


def _core_cutter(face: PartingFace, low: float) -> Manifold:
    slope = (face.top_diameter - face.wall_diameter) / 2 / face.top
    wide = face.wall_diameter / 2 + slope * low
    frustum = Manifold.cylinder(face.top - low, wide, face.top_diameter / 2, 128).translate((0, 0, low))
    return _upright(frustum, (face.x, face.y, 0.0), face.axis)


def _upright(shape: Manifold, foot: tuple[float, ...], axis: tuple[float, ...]) -> Manifold:
    """Turn +z to `axis` and put the origin on `foot`."""
    third = np.array(axis)
    first = np.cross((0.0, 1.0, 0.0) if abs(third[1]) < 0.9 else (1.0, 0.0, 0.0), third)
    first /= np.linalg.norm(first)
    return shape.transform(np.column_stack([first, np.cross(third, first), third, np.array(foot)]))
