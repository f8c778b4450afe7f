"""From the whole hold to a light shell and a solid core round the bolt."""

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import ParameterError
from holdwright.geometry.core.collar import HEADS, CollarFit, fit_collar, separate
from holdwright.geometry.core.core_fit import CoreRequest, Fit, fit_core, ring_width
from holdwright.geometry.core.parting import Parting, bridged, gather, part_whole
from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.mesh.boolean import connected
from holdwright.geometry.mesh.frustum import Frustum
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.relief.pocket import land_round
from holdwright.hold.cut_surfaces import hold_surface
from holdwright.hold.feature import BackPocket, Bore, Collar, PartingFace, ScrewHole
from holdwright.hold.finding_builder import contact_findings
from holdwright.hold.hold import CORE, SHELL, Hold
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.operations.core_findings import (
    collar_findings,
    fit_findings,
    piece_findings,
    pierced_findings,
    support_findings,
)
from holdwright.parameters.kinds import Kind, Length, Parameters, Position, Relevant

SLIVER = 100.0
"""mm3 below which a piece cut off from a part is a sliver: a tenth of a gram. Our choice."""

_THIN_LAND, _OVER = 2.0, 0.05
"""mm; a ring of land narrower than the first would be a thin wall of the shell: the collar takes it all, and
the second more, so that nothing is left of it."""

_TOUCH = 0.02
"""mm; a core nearer to the surface than this may cut pieces off."""


class SplitCoreParameters(Parameters):
    """Where the core stands and how wide it is."""

    along: Annotated[Literal["bores", "point"], Kind("choice")] = Field("bores", title="Core along")
    """Where cores stand: one round each bore, or one square to the wall at a point."""
    at: Annotated[Position, Relevant("along", ("point",))] = Field((0.0, 0.0), title="At")
    """Where the core's axis meets the back."""
    height: Annotated[Length, Relevant("along", ("point",))] = Field(20.0, gt=0.0, le=500.0, title="Height")
    """Height of the core above the finished back."""
    wall_diameter: Length = Field(0.0, ge=0.0, le=1000.0, title="Diameter at the wall")
    """Diameter of the core at the finished back; 0: chosen to fit the bolt and the hold."""
    top_diameter: Length = Field(0.0, ge=0.0, le=1000.0, title="Diameter at the top")
    """Diameter of the core at its top; 0: chosen, 1.5 pocket diameters where that fits."""
    above_seat: Annotated[Length, Relevant("along", ("bores",))] = Field(
        1.0, ge=0.2, le=100.0, title="Above the seat"
    )
    """How far a core wider than the pocket goes on above the seat."""
    clear_of_pocket: Annotated[Length, Relevant("along", ("bores",))] = Field(
        6.0, ge=0.0, le=100.0, title="Clear of the pocket"
    )
    """Least width of the ring that the core forms round the pocket above the seat."""
    least_shell: Length = Field(6.0, ge=0.0, le=100.0, title="Least shell")
    """Least thickness of shell between the core and the grip surface or the rim."""
    collar_diameter: Length = Field(0.0, ge=0.0, le=200.0, title="Collars")
    """Diameter of the solid collar round each screw hole; 0: one and a half heads, or the land of a relieved
    back round it where that is hardly wider."""


class SplitCore(Operation[SplitCoreParameters]):
    """Part the hold into the two solids that one print fills differently."""

    name = "split_core"
    title = "Split core"
    summary = (
        "Parts the hold into a light shell and a solid core round each bolt and each screw, without a gap."
    )
    version = 2
    order = 80
    parameters = SplitCoreParameters

    def apply(self, hold: Hold, parameters: SplitCoreParameters, run: Run) -> Outcome:
        """Part the whole at tapered faces; see `Operation.apply`.

        Raises
        ------
        ParameterError
            When there is no bore to stand round, or the diameters make no core.
        GeometryError
            When the core would be all of the hold or none of it.
        """
        whole = hold.whole
        hold.check_size("A core in millimetres was asked for")
        columns = _columns(hold, parameters)
        request = _core_request(parameters)
        with run.stopwatch.searching("room for the core"):
            surface = hold_surface(whole.mesh, hold.features)
            fits = [fit_core(column, request, surface) for column in columns]
            collars = _collars(hold, parameters, surface)
        run.progress.report(0.4, "parting shell and core")
        frusta = [fit.frustum for fit in fits] + [collar.frustum for collar in collars]
        parting = part_whole(whole, frusta)
        findings = fit_findings(columns, fits, parameters.clear_of_pocket, parameters.least_shell)
        seats = list(zip(columns, _rings(hold, parameters, run.catalogue), strict=True))
        findings += support_findings(seats, fits, parting.core, len(collars))
        findings += collar_findings(hold.find(ScrewHole), collars, fits)
        if min(fit.shell for fit in fits) < _TOUCH:
            findings += pierced_findings(parting, fits, collars, surface)
        if collars or min(fit.shell for fit in fits) < _TOUCH:
            run.progress.report(0.8, "counting pieces")
            parting = gather(parting, SLIVER)
            shells = len(connected(whole)) if len(parting.shell_pieces) > 1 else 1
            cores = separate(frusta, float(whole.bounds[0, 2])) if collars else len(columns)
            findings += piece_findings(parting, shells, cores)
        boxes = [each.bounds for each in (*frusta, *(_outline(hole, whole) for hole in surface.bores))]
        parting, joined, left = bridged(parting, boxes)
        findings += contact_findings(joined, left)
        faces = [_parting_face(column, fit) for column, fit in zip(columns, fits, strict=True)]
        split = hold.with_parts(
            {SHELL: parting.shell, CORE: parting.core},
            *faces,
            *(_collar_feature(collar) for collar in collars),
        )
        return Outcome(split, tuple(findings), _result(parting, faces, len(collars)))


def _outline(hole: Hole, whole: Solid) -> Frustum:
    """Put a cylinder round all of a hole."""
    low, high = (float(z) / hole.axis[2] for z in whole.bounds[:, 2])
    radius = max(hole.pocket_reach, hole.hole_radius)
    return Frustum(hole.foot, hole.axis, radius, radius, high + radius, low - radius)


def _columns(hold: Hold, parameters: SplitCoreParameters) -> list[Hole]:
    """Tell where cores stand."""
    if 0.0 < parameters.wall_diameter < parameters.top_diameter:
        raise ParameterError(
            f"A core of {parameters.wall_diameter:g} mm at the wall and {parameters.top_diameter:g} mm "
            "at its top narrows towards the wall; give it at least the top's diameter at the wall."
        )
    if parameters.along == "bores":
        bores = hold.find(Bore)
        if not bores:
            raise ParameterError(
                "The core stands round a bore, but the hold has none; add a bore before this step, "
                "or let the core stand at a point."
            )
        return [bore.hole for bore in bores]
    if parameters.wall_diameter == 0.0:
        raise ParameterError(
            "A core at a point has no bolt to take its width from; give its diameter at the wall."
        )
    x, y = parameters.at
    return [Hole(x, y, parameters.height)]


def _rings(hold: Hold, parameters: SplitCoreParameters, catalogue: Catalogue) -> list[float]:
    """Diameters of what presses on the seat of each core's bolt, mm; 0 where it has none."""
    if parameters.along == "point":
        return [0.0]
    return [
        catalogue.washer(bore.washer).outer if bore.washer else catalogue.screw(bore.screw).head.diameter
        for bore in hold.find(Bore)
    ]


def _core_request(parameters: SplitCoreParameters) -> CoreRequest:
    at_point = parameters.along == "point"
    return CoreRequest(
        wall_diameter=parameters.wall_diameter,
        top_diameter=parameters.top_diameter,
        above_seat=0.0 if at_point else parameters.above_seat,
        clear_of_pocket=parameters.clear_of_pocket,
        least_shell=parameters.least_shell,
    )


def _parting_face(column: Hole, fit: Fit) -> PartingFace:
    """Record the face as it is: a core within the pocket's outline ends at the seat."""
    frustum = fit.frustum
    top = column.seat if ring_width(frustum, column) is None else frustum.top
    x, y, _ = column.foot
    return PartingFace(x, y, column.axis, 2.0 * frustum.foot_radius, 2.0 * frustum.radius_at(top), top)


def _collars(hold: Hold, parameters: SplitCoreParameters, surface: HoldSurface) -> list[CollarFit]:
    """Fit the collar of each screw hole."""
    collars = []
    for hole in hold.find(ScrewHole):
        diameter = parameters.collar_diameter or _usual_collar(hold, hole)
        if diameter < hole.head_diameter:
            raise ParameterError(
                f"A collar of {diameter:g} mm was asked for, but the head of '{hole.screw}' takes "
                f"{hole.head_diameter:g} mm; give it more, or 0 for one and a half heads."
            )
        reach = max(parameters.least_shell, 1.0)
        collars.append(fit_collar(hole.hole, diameter / 2.0, surface, reach))
    return collars


def _usual_collar(hold: Hold, hole: ScrewHole) -> float:
    """Give the diameter of a collar: all of the land round it, where little of that would be left."""
    diameter = HEADS * hole.head_diameter
    for pocket in hold.find(BackPocket):
        land = 2.0 * land_round(pocket.drawn, hole.hole)
        if diameter < land < diameter + 2.0 * _THIN_LAND:
            diameter = land + 2.0 * _OVER
    return diameter


def _collar_feature(collar: CollarFit) -> Collar:
    frustum = collar.frustum
    x, y, _ = frustum.foot
    return Collar(x, y, frustum.axis, 2.0 * frustum.top_radius, frustum.top)


def _result(parting: Parting, faces: Sequence[PartingFace], collars: int) -> str:
    core, shell = parting.core.volume, parting.shell.volume
    share = f"{100 * core / (core + shell):.0f} % core"
    screws = f", {collars} collar{'s' if collars > 1 else ''}" if collars else ""
    if len(faces) > 1:
        return f"{share}, {len(faces)} columns{screws}"
    face = faces[0]
    size = f"{face.wall_diameter:.0f} to {face.top_diameter:.0f} mm across, {face.top:.0f} mm high"
    return f"{share}, {size}{screws}"
