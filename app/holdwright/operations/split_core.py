"""From the whole hold to a light shell and a solid core round the bolt."""

from collections.abc import Sequence
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.boolean import connected
from holdwright.geometry.core_fit import Fit, Wish, fit_core, ring_width
from holdwright.geometry.grip import Column, HoldSurface
from holdwright.geometry.parting import Parting, faces_of_whole, gather, part_whole
from holdwright.hold.feature import Bore, PartingFace, Rim
from holdwright.hold.finding import Finding
from holdwright.hold.hold import CORE, SHELL, Hold
from holdwright.operations.base import Operation, Outcome, Run
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
    title: ClassVar[str] = "Shell and core"
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
        findings = [
            *_width_findings(columns, fits, parameters),
            *_shell_findings(fits, parameters.least_shell),
        ]
        if min(fit.shell for fit in fits) < _TOUCH:
            findings += _pierced_findings(parting, fits, bores)
            run.progress.report(0.8, "counting pieces")
            parting = gather(parting, SLIVER)
            shells = len(connected(whole)) if len(parting.shell_pieces) > 1 else 1
            findings += _piece_findings(parting, shells, len(columns))
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


def _width_findings(
    columns: Sequence[Column], fits: Sequence[Fit], parameters: SplitCoreParameters
) -> list[Finding]:
    """Report cores made narrower than first wanted, and thin rings that were asked for."""
    findings = []
    for column, fit in zip(columns, fits, strict=True):
        taken, wanted = 2.0 * fit.frustum.foot_radius, 2.0 * fit.first_wish.foot_radius
        if fit.frustum != fit.first_wish:
            text = (
                f"The core is {taken:.1f} mm across at the wall in place of {wanted:.1f} mm, "
                "to leave more shell round it."
            )
            advice = "Give both diameters to have another core."
            findings.append(Finding("core_narrowed", "note", text, taken, wanted, "mm", column.foot, advice))
        width, limit = ring_width(fit.frustum, column), parameters.clear_of_pocket
        if width is not None and width < limit - 1e-9:
            text = f"Above the seat the core is a ring only {width:.1f} mm wide round the pocket."
            advice = "Make the core wider at its top, or narrower than the pocket."
            place = _on_axis(column, column.seat)
            findings.append(Finding("thin_core_ring", "warning", text, width, limit, "mm", place, advice))
    return findings


def _shell_findings(fits: Sequence[Fit], limit: float) -> list[Finding]:
    """Report shell thinner than wanted, at the rim and above it; each only where it says more."""
    findings = []
    for fit in fits:
        rim, grip = fit.to_rim, fit.to_grip
        if 0.0 <= rim.distance < limit:
            text = f"The core comes within {rim.distance:.1f} mm of the outline of the hold's back."
            advice = "Make the core narrower at the wall, or move the bore away from the edge."
            findings.append(
                Finding("core_near_edge", "warning", text, rim.distance, limit, "mm", rim.place, advice)
            )
        if 0.0 <= grip.distance < min(limit, rim.distance):
            text = f"The shell over the core is only {grip.distance:.1f} mm thick at one place."
            advice = "Make the core narrower at its top, or set the seat deeper."
            findings.append(
                Finding("thin_shell", "warning", text, grip.distance, limit, "mm", grip.place, advice)
            )
    return findings


def _pierced_findings(parting: Parting, fits: Sequence[Fit], bores: Sequence[Column]) -> list[Finding]:
    """Report how much of the core lies open at the grip surface, and where it does most."""
    area = _open_area(parting, fits, bores)
    if area <= 0.0:
        return []
    worst = min(fits, key=lambda fit: fit.shell)
    deepest = min(worst.to_rim, worst.to_grip, key=lambda nearest: nearest.distance)
    text = (
        f"The core comes through the grip surface on {area / 100:.1f} cm2, "
        f"by up to {max(-deepest.distance, 0.0):.1f} mm."
    )
    advice = "Make the core narrower, move the bore inward, or set the seat deeper."
    return [Finding("core_pierces", "warning", text, area, 0.0, "mm2", deepest.place, advice)]


def _open_area(parting: Parting, fits: Sequence[Fit], bores: Sequence[Column]) -> float:
    """Area of the core that was the hold's grip surface or rim, mm2."""
    vertices, triangles = faces_of_whole(parting.core, [fit.frustum for fit in fits])
    corners = vertices[np.concatenate(HoldSurface(vertices, triangles, bores).grip())]
    doubled = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return float(np.linalg.norm(doubled, axis=1).sum() / 2.0)


def _piece_findings(parting: Parting, shells: int, cores: int) -> list[Finding]:
    """Report parts that came apart, and the slivers that changed sides to keep them together."""
    findings = []
    for part, pieces, expected in (
        (SHELL, parting.shell_pieces, shells),
        (CORE, parting.core_pieces, cores),
    ):
        count = len(pieces)
        if count > expected:
            volumes = ", ".join(f"{volume / 1000:.2f}" for volume in pieces[:4])
            text = f"The {part} is in {count} pieces ({volumes}{' and more' if count > 4 else ''} cm3)."
            advice = "Make the core narrower, or move the bore inward."
            findings.append(
                Finding(f"{part}_in_pieces", "warning", text, float(count), float(expected), advice=advice)
            )
    for giver, taker, moved in ((SHELL, CORE, parting.to_core), (CORE, SHELL, parting.to_shell)):
        if moved:
            many = "1 sliver" if len(moved) == 1 else f"{len(moved)} slivers"
            text = f"{many} cut off from the {giver} ({sum(moved):.1f} mm3) went to the {taker}."
            findings.append(Finding(f"sliver_to_{taker}", "note", text, sum(moved), unit="mm3"))
    return findings


def _on_axis(column: Column, height: float) -> tuple[float, float, float]:
    x, y, z = (np.array(column.foot) + height * np.array(column.axis)).tolist()
    return (x, y, z)


def _result(parting: Parting, faces: Sequence[PartingFace]) -> str:
    core, shell = parting.core.volume, parting.shell.volume
    share = f"{100 * core / (core + shell):.0f} % core"
    if len(faces) > 1:
        return f"{share}, {len(faces)} columns"
    face = faces[0]
    return f"{share}, {face.wall_diameter:.0f} to {face.top_diameter:.0f} mm across, {face.top:.0f} mm high"
