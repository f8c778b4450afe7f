"""From the whole hold to a light shell and a solid core round the bolt."""

from collections.abc import Sequence
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.boolean import connected
from holdwright.geometry.core_fit import Fit, Wish, fit_core, ring_width
from holdwright.geometry.grip import Column, HoldSurface
from holdwright.geometry.parting import Parting, gather, part_whole
from holdwright.hold.feature import Bore, PartingFace, Rim
from holdwright.hold.hold import CORE, SHELL, Hold
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.operations.core_findings import (
    piece_findings,
    pierced_findings,
    pocket_findings,
    shell_findings,
    width_findings,
)
from holdwright.parameters.kinds import Kind, Length, Parameters, Position, Relevant

SLIVER = 100.0
"""mm3 below which a piece cut off from a part is a sliver: a tenth of a gram. Our choice."""

_TOUCH = 0.02
"""mm; a core nearer to the surface than this may cut pieces off."""


class SplitCoreParameters(Parameters):
    """Where the core stands and how wide it is."""

    along: Annotated[Literal["bores", "point"], Kind("choice")] = Field(
        "bores",
        title="Core along",
        description="Where cores stand: one round each bore, or one square to the wall at a point.",
    )
    at: Annotated[Position, Relevant("along", ("point",))] = Field(
        (0.0, 0.0), title="At", description="Where the core's axis meets the back."
    )
    height: Annotated[Length, Relevant("along", ("point",))] = Field(
        20.0, gt=0.0, le=500.0, title="Height", description="Height of the core above the finished back."
    )
    wall_diameter: Length = Field(
        0.0,
        ge=0.0,
        le=1000.0,
        title="Diameter at the wall",
        description="Diameter of the core at the finished back; 0: chosen to fit the bolt and the hold.",
    )
    top_diameter: Length = Field(
        0.0,
        ge=0.0,
        le=1000.0,
        title="Diameter at the top",
        description="Diameter of the core at its top; 0: chosen, 1.5 pocket diameters where that fits.",
    )
    above_seat: Annotated[Length, Relevant("along", ("bores",))] = Field(
        1.0,
        ge=0.2,
        le=100.0,
        title="Above the seat",
        description="How far a core wider than the pocket goes on above the seat.",
    )
    clear_of_pocket: Annotated[Length, Relevant("along", ("bores",))] = Field(
        6.0,
        ge=0.0,
        le=100.0,
        title="Clear of the pocket",
        description="Least width of the ring that the core forms round the pocket above the seat.",
    )
    least_shell: Length = Field(
        6.0,
        ge=0.0,
        le=100.0,
        title="Least shell",
        description="Least thickness of shell between the core and the grip surface or the rim.",
    )


class SplitCore(Operation[SplitCoreParameters]):
    """Part the hold into the two solids that one print fills differently."""

    name: ClassVar[str] = "split_core"
    title: ClassVar[str] = "Split core"
    summary: ClassVar[str] = (
        "Parts the hold into a light shell and a solid core round each bolt, without a gap."
    )
    order: ClassVar[int] = 70
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
        if not hold.sized:
            raise ParameterError(
                "A core in millimetres was asked for, but the hold has no true size yet; "
                "scale it before this step."
            )
        columns = _columns(hold, parameters)
        wish = _wish(parameters)
        with run.stopwatch.searching("room for the core"):
            rim_height = max((rim.height for rim in hold.find(Rim)), default=0.0)
            bores = [_column(bore) for bore in hold.find(Bore)]
            surface = HoldSurface(whole.vertices, whole.triangles, bores, rim_height)
            fits = [fit_core(column, wish, surface) for column in columns]
        run.progress.report(0.4, "parting shell and core")
        frusta = [fit.frustum for fit in fits]
        parting = part_whole(whole, frusta)
        findings = width_findings(columns, fits, parameters.clear_of_pocket)
        findings += pocket_findings(columns, fits, parameters.clear_of_pocket)
        findings += shell_findings(fits, parameters.least_shell)
        if min(fit.shell for fit in fits) < _TOUCH:
            findings += pierced_findings(parting, fits, bores)
            run.progress.report(0.8, "counting pieces")
            parting = gather(parting, SLIVER)
            shells = len(connected(whole)) if len(parting.shell_pieces) > 1 else 1
            findings += piece_findings(parting, shells, len(columns))
        faces = [_parting_face(column, fit) for column, fit in zip(columns, fits, strict=True)]
        split = hold.with_parts({SHELL: parting.shell, CORE: parting.core}, *faces)
        return Outcome(split, tuple(findings), _result(parting, faces))


def _columns(hold: Hold, parameters: SplitCoreParameters) -> list[Column]:
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
        return [_column(bore) for bore in bores]
    if parameters.wall_diameter == 0.0:
        raise ParameterError(
            "A core at a point has no bolt to take its width from; give its diameter at the wall."
        )
    x, y = parameters.at
    return [Column((x, y, 0.0), (0.0, 0.0, 1.0), parameters.height)]


def _column(bore: Bore) -> Column:
    upright = bore.axis[2]
    if upright <= 0.0 or bore.seat_z <= 0.0:
        raise GeometryError(
            f"The bore at ({bore.x:.1f}, {bore.y:.1f}) mm has no seat above the finished back; bore it anew."
        )
    return Column(
        foot=(bore.x, bore.y, 0.0),
        axis=bore.axis,
        seat=bore.seat_z / upright,
        pocket_radius=bore.pocket_diameter / 2.0,
        hole_radius=bore.clearance_diameter / 2.0,
    )


def _wish(parameters: SplitCoreParameters) -> Wish:
    at_point = parameters.along == "point"
    return Wish(
        wall_diameter=parameters.wall_diameter,
        top_diameter=parameters.top_diameter,
        above_seat=0.0 if at_point else parameters.above_seat,
        clear_of_pocket=parameters.clear_of_pocket,
        least_shell=parameters.least_shell,
    )


def _parting_face(column: Column, fit: Fit) -> PartingFace:
    """Record the face as it is: a core within the pocket's outline ends at the seat."""
    frustum = fit.frustum
    top = column.seat if ring_width(frustum, column) is None else frustum.top
    x, y, _ = column.foot
    return PartingFace(x, y, column.axis, 2.0 * frustum.foot_radius, 2.0 * frustum.radius_at(top), top)


def _result(parting: Parting, faces: Sequence[PartingFace]) -> str:
    core, shell = parting.core.volume, parting.shell.volume
    share = f"{100 * core / (core + shell):.0f} % core"
    if len(faces) > 1:
        return f"{share}, {len(faces)} columns"
    face = faces[0]
    return f"{share}, {face.wall_diameter:.0f} to {face.top_diameter:.0f} mm across, {face.top:.0f} mm high"
