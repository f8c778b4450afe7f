"""Turn the hold so that its back meets the wall."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.base.base_search import Base, bases
from holdwright.geometry.base.planar_regions import flat_round
from holdwright.geometry.base.wall_rotation import cleaned, to_wall
from holdwright.geometry.measure.envelope import before_wall
from holdwright.geometry.measure.surface_sample import sample_surface
from holdwright.geometry.mesh.frame import move_direction
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import BackPlane, GroundBlock
from holdwright.hold.finding import Finding, Point, point
from holdwright.hold.finding_builder import in_cm2, limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.hold.picks import settle
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.parameters.kinds import Angle, Count, Kind, Parameters, Picks, PointPick, Relevant


class OrientToBaseParameters(Parameters):
    """What decides where the back is, and how the hold is turned on the wall."""

    by: Literal["found", "face", "points", "plane"] = Field("found", title="Back by")
    """What decides where the back is: the shape, a picked face, three points, or a plane."""
    rank: Annotated[Count, Relevant("by", ("found",))] = Field(1, ge=1, le=5, title="Which back")
    """1 takes the likeliest back found, 2 the next likeliest."""
    face: Annotated[PointPick | None, Kind("pick", "mm"), Relevant("by", ("face",))] = Field(
        None, title="Face"
    )
    """A place on the back; the flat area round it is fitted."""
    points: Annotated[Picks, Relevant("by", ("points",))] = Field((), title="Points")
    """Three places on the back, well apart."""
    plane: Annotated[PointPick | None, Kind("pick", "mm"), Relevant("by", ("plane",))] = Field(
        None, title="Plane"
    )
    """A plane along the wall; its normal points out of the hold. The trim cuts no lower."""
    flip: Annotated[bool, Relevant("by", ("points", "plane"))] = Field(False, title="Other side")
    """Put the other side of the points or the plane to the wall."""
    turn: Angle = Field(0.0, ge=-360.0, le=360.0, title="Turn")
    """Turns the hold on the wall, counter-clockwise seen from in front."""
    mirror: bool = Field(False, title="Other hand")
    """Mirrors the hold, left for right as seen from in front, once it is turned."""


@dataclass(frozen=True, eq=False)
class _Back:
    """Which way the back faces (unit, out of the hold), what that goes by, and what deserves a look."""

    normal: Floats
    how: str
    findings: list[Finding] = field(default_factory=list)
    plane: BackPlane | None = None
    kept: bool = False
    rank: int | None = None
    """Of the candidate kept, where it is another than requested."""


class OrientToBase(Operation[OrientToBaseParameters]):
    """Back to -z, up to +y, lowest point on z = 0, silhouette circle round x = y = 0."""

    name = "orient_to_base"
    title = "Orient to base"
    summary = "Turns the hold so that its back faces the wall and its up is up."
    order = 20
    version: ClassVar[int] = 2
    parameters = OrientToBaseParameters

    def looks_back(self, parameters: OrientToBaseParameters) -> bool:
        """Where the back is found, it matters where that was on the sculpt before."""
        return parameters.by == "found"

    def apply(self, hold: Hold, parameters: OrientToBaseParameters, run: Run) -> Outcome:
        """Turn the hold."""
        whole = hold.whole
        run.progress.report(0.1, "Looking for the back")
        with run.stopwatch.searching("back"):
            back = _back(hold, whole, parameters, run)
        linear = to_wall(-cleaned(back.normal), parameters.turn)
        if parameters.mirror:
            linear = np.diag([-1.0, 1.0, 1.0]) @ linear
        run.progress.report(0.7, "Turning the hold")
        matrix, _ = before_wall(whole.vertices, linear)
        turned = hold if back.plane is None else hold.with_whole(whole, back.plane)
        followed = {} if back.rank is None else {"rank": back.rank}
        how = f"{back.how}, mirrored" if parameters.mirror else back.how
        return Outcome(turned.moved(matrix), tuple(back.findings), how, kept=back.kept, followed=followed)


def _back(hold: Hold, whole: Solid, parameters: OrientToBaseParameters, run: Run) -> _Back:
    if parameters.by == "face":
        return _by_face(whole, parameters, hold.sized)
    if parameters.by == "points":
        return _by_points(whole, parameters)
    if parameters.by == "plane":
        return _by_plane(parameters)
    blocks = hold.find(GroundBlock)
    if blocks and parameters.rank == 1:
        return _Back(move_direction(np.eye(4), -np.array(blocks[-1].normal)), "found: ground block")
    return _found(whole, parameters.rank, hold.sized, run.before)


def _found(whole: Solid, rank: int, sized: bool, before: Sequence[Point] | None) -> _Back:
    candidates = bases(whole)
    if before:
        way = np.subtract(before[1], before[0])
        angles = [_angle(each.normal, way) for each in candidates]
        same = int(np.argmin(angles))
        if angles[same] <= limit_of("back_kept"):
            other = same + 1 if same + 1 != rank else None
            kept = _Back(candidates[same].normal, _how(candidates[same], sized), kept=True, rank=other)
            if other is not None:
                kept.findings.append(new_finding("back_kept", angles[same], rank=same + 1))
            elif candidates[same].how == "rest":
                kept.findings.append(new_finding("back_not_flat"))
            return kept
    if rank > len(candidates):
        raise ParameterError(
            f"Back {rank} of those found was asked for, but only {len(candidates)} "
            f"{'was' if len(candidates) == 1 else 'were'} found; pick the back by hand instead."
        )
    chosen = candidates[rank - 1]
    back = _Back(chosen.normal, _how(chosen, sized))
    second = candidates[1].score / candidates[0].score if len(candidates) > 1 else 0.0
    if rank == 1 and (share := 100.0 * min(second, 1.0)) > limit_of("back_unsure"):
        back.findings.append(new_finding("back_unsure", share))
    elif chosen.how == "rest":
        back.findings.append(new_finding("back_not_flat"))
    return back


def _angle(one: Floats, other: Floats) -> float:
    cosine = one @ other / (np.linalg.norm(one) * np.linalg.norm(other))
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))


def _how(base: Base, sized: bool) -> str:
    if base.how == "rest":
        return "found: stable rest"
    return f"found: flat area {in_cm2(base.area)}" if sized else "found: flat area"


def _by_face(whole: Solid, parameters: OrientToBaseParameters, sized: bool) -> _Back:
    if parameters.face is None:
        raise ParameterError(
            "The back goes by a picked face, but none is picked; pick one, or let it be found."
        )
    settled = settle(whole, parameters.face, "face pick")
    plane, area = flat_round(whole, settled.place)
    return _Back(
        plane.normal,
        f"picked face, {in_cm2(area)} flat" if sized else "picked face",
        list(settled.findings),
    )


def _by_points(whole: Solid, parameters: OrientToBaseParameters) -> _Back:
    if len(parameters.points) != 3:
        raise ParameterError(
            f"The back goes through three points, but {len(parameters.points)} are picked; pick three."
        )
    settled = [settle(whole, pick, f"point {number}") for number, pick in enumerate(parameters.points, 1)]
    corners = np.array([each.point for each in settled])
    across = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    longest = max(float(np.linalg.norm(corners[i] - corners[i - 1])) for i in range(3))
    if not float(np.linalg.norm(across)) > 0.01 * longest**2:
        raise ParameterError("The three points lie nearly on one line; pick them well apart, as a triangle.")
    normal = across / np.linalg.norm(across)
    if normal @ (corners[0] - sample_surface(whole).centroid) < 0.0:
        normal = -normal
    findings = [finding for each in settled for finding in each.findings]
    return _Back(-normal if parameters.flip else normal, "through three points", findings)


def _by_plane(parameters: OrientToBaseParameters) -> _Back:
    if parameters.plane is None:
        raise ParameterError(
            "The back goes by a plane, but none is given; pick one on the hold, or enter its normal."
        )
    normal = np.array(parameters.plane.normal)
    if not np.linalg.norm(normal) > 0.0:
        raise ParameterError(
            "The plane's normal is zero; give a direction out of the hold, such as 0, 0, -1."
        )
    normal = normal / np.linalg.norm(normal) * (-1.0 if parameters.flip else 1.0)
    plane = BackPlane(parameters.plane.point, point(normal))
    return _Back(normal, "along the plane given", plane=plane)
