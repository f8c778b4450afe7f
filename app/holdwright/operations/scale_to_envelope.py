"""Bring the hold to its true size."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field

from holdwright.errors import ParameterError
from holdwright.geometry.measure.envelope import before_wall
from holdwright.geometry.mesh.boolean import simplified
from holdwright.geometry.mesh.frame import move_points
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Envelope
from holdwright.hold.finding import Finding, point
from holdwright.hold.finding_builder import new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Operation, Outcome, Run, Upgrade
from holdwright.operations.envelope_size import factor_to, size_name
from holdwright.operations.finished_size import sized_finished
from holdwright.operations.trim_parameters import TRIM_BASE, TrimBaseParameters
from holdwright.parameters.kinds import Length, Number, Parameters, Percent, Relevant

SMALLEST = 25.0
LARGEST = 1500.0
"""Longest extents in mm outside of which a hold is hardly meant (common practice, no source)."""

LEAST, MOST = 1.0, 10_000.0
"""Longest extents in mm outside of which nothing is worked on: no step's figures would mean anything."""

EXTREME = 8.0
"""A sculpt of known unit is hardly meant to grow or shrink by more; the inch is 25.4 mm."""


class ScaleToEnvelopeParameters(Parameters):
    """What sets the hold's size."""

    measured: Literal["finished hold", "whole sculpt"] = Field("finished hold", title="Size of")
    """Finished hold: what the trim will leave in front of the wall gets the size. Whole sculpt: all of it,
    what is cut off later as well."""
    rule: Literal["circle", "box", "width", "height", "depth", "factor"] = Field("circle", title="Size by")
    """What sets the size: a circle round the hold as seen on the wall, a box it fits in, its width, height or
    depth, or a plain factor."""
    diameter: Annotated[Length, Relevant("rule", ("circle",))] = Field(
        120.0, gt=0.0, le=5000.0, title="Circle diameter"
    )
    """Smallest circle round the hold seen from in front."""
    box_x: Annotated[Length, Relevant("rule", ("box",))] = Field(120.0, ge=0.0, le=5000.0, title="Box width")
    """Greatest extent along x; 0 leaves it free."""
    box_y: Annotated[Length, Relevant("rule", ("box",))] = Field(120.0, ge=0.0, le=5000.0, title="Box height")
    """Greatest extent up the wall; 0 leaves it free."""
    box_z: Annotated[Length, Relevant("rule", ("box",))] = Field(0.0, ge=0.0, le=5000.0, title="Box depth")
    """Greatest extent off the wall; 0 leaves it free."""
    length: Annotated[Length, Relevant("rule", ("width", "height", "depth"))] = Field(
        120.0, gt=0.0, le=5000.0, title="Length"
    )
    """The width, height or depth the hold shall have."""
    factor: Annotated[Number, Relevant("rule", ("factor",))] = Field(1.0, gt=0.0, le=10000.0, title="Factor")
    """Multiplies every length of a sculpt of known unit."""
    detail: Length = Field(0.02, ge=0.0, le=1.0, title="Detail kept")
    """Surface detail finer than this is dropped, which keeps later steps quick; 0 keeps all."""
    shrinkage_percent: Percent = Field(0.0, ge=0.0, le=10.0, title="Shrinkage")
    """How much the print shrinks; added on export alone, every figure here stays true size."""


def _of_whole_sculpt(values: dict[str, Any]) -> dict[str, Any]:
    """Lead version 1 to 2, where the finished hold gets the size."""
    return {**values, "measured": "whole sculpt"}


class ScaleToEnvelope(Operation[ScaleToEnvelopeParameters]):
    """True millimetres from here on; circle of what was measured round x = y = 0, lowest point on z = 0."""

    name = "scale_to_envelope"
    title = "Scale to envelope"
    summary = "Brings the hold to its size."
    order = 30
    version: ClassVar[int] = 2
    upgrades: ClassVar[Mapping[int, Upgrade]] = {1: _of_whole_sculpt}
    parameters = ScaleToEnvelopeParameters

    def looks_ahead(self, parameters: ScaleToEnvelopeParameters) -> tuple[str, ...]:
        """Where the finished hold is measured, the trim decides what that is."""
        finished = parameters.measured == "finished hold" and parameters.rule != "factor"
        return (TRIM_BASE,) if finished else ()

    def looks_back(self, parameters: ScaleToEnvelopeParameters) -> bool:
        """Where it looks ahead, it matters where the trim cut the sculpt before."""
        return bool(self.looks_ahead(parameters))

    def apply(self, hold: Hold, parameters: ScaleToEnvelopeParameters, run: Run) -> Outcome:
        """Scale the hold."""
        if parameters.rule == "factor" and not hold.sized:
            raise ParameterError(
                "A plain factor was asked for, but the sculpt's unit is unknown; give the unit on import, "
                "or scale by circle, box, width, height or depth."
            )
        whole = hold.whole
        _must_be_workable(float(whole.size.max()) * _factor(whole, parameters), parameters)
        if parameters.detail > 0.0:
            run.progress.report(0.1, "Dropping fine detail")
            whole = _without_detail(whole, parameters, run)
        factor = _factor(whole, parameters)
        run.progress.report(0.8, "Scaling")
        matrix, circle = before_wall(whole.vertices, np.eye(3) * factor)
        moved = hold.with_whole(whole).moved(matrix)
        envelope = Envelope(
            rule=parameters.rule,
            asked=requested_envelope(parameters),
            circle=circle.diameter,
            size=point(moved.whole.size),
            factor=factor,
            shrinkage_percent=parameters.shrinkage_percent,
        )
        trim = run.ahead.get(TRIM_BASE)
        if self.looks_ahead(parameters) and isinstance(trim, TrimBaseParameters):
            with run.stopwatch.searching("trim height"):
                held = move_points(matrix, np.array(run.before[0]))[2] if run.before else None
                moved, envelope = sized_finished(moved, envelope, trim, held)
        scaled = replace(moved, features=(*moved.features, envelope), sized=True)
        return Outcome(scaled, tuple(_findings(envelope, hold.sized)), _result(envelope))


def _without_detail(whole: Solid, parameters: ScaleToEnvelopeParameters, run: Run) -> Solid:
    """Drop detail finer than requested; stored, since the trim's parameters change nothing about it."""
    tolerance = parameters.detail / _factor(whole, parameters)
    made_from = (whole, tolerance)
    stored = run.cache.get(ScaleToEnvelope.name, made_from) if run.cache else None
    if isinstance(stored, Solid):
        return stored
    coarser = simplified(whole, tolerance)
    if run.cache:
        run.cache.put(ScaleToEnvelope.name, made_from, coarser, whole.weight + coarser.weight)
    return coarser


def _factor(solid: Solid, parameters: ScaleToEnvelopeParameters) -> float:
    if parameters.rule == "factor":
        return parameters.factor
    requested = requested_envelope(parameters)
    if not any(requested):
        raise ParameterError("A box was asked for, but all its sides are 0 (free); give at least one.")
    return factor_to(parameters.rule, requested, solid.vertices[:, :2], point(solid.size))


def requested_envelope(parameters: ScaleToEnvelopeParameters) -> tuple[float, ...]:
    """Give the lengths asked for by the rule in use, mm; of a box its three sides; a factor as it is."""
    if parameters.rule == "circle":
        return (parameters.diameter,)
    if parameters.rule == "box":
        return (parameters.box_x, parameters.box_y, parameters.box_z)
    return (parameters.factor if parameters.rule == "factor" else parameters.length,)


def _must_be_workable(longest: float, parameters: ScaleToEnvelopeParameters) -> None:
    """Refuse what no hold can be; `longest` is the extent it would get, mm."""
    if LEAST <= longest <= MOST:
        return
    requested = " x ".join(f"{value:g}" for value in requested_envelope(parameters))
    unit = "" if parameters.rule == "factor" else " mm"
    way, back, limit, length = "more", "less", MOST, f"{longest:.0f}"
    if longest < LEAST:
        way, back, limit, length = "less", "more", LEAST, f"{longest:.3g}"
    raise ParameterError(
        f"A {parameters.rule} of {requested}{unit} was asked for, but that makes the hold {length} mm at its "
        f"longest, and it can be no {way} than {limit:g} mm; ask for {back}, and look whether the sculpt's "
        "unit and back are right."
    )


def _result(envelope: Envelope) -> str:
    x, y, z = envelope.size
    size = size_name(max(envelope.size))
    once = ", trimmed, before tips and holes" if envelope.finished else ""
    return f"{x:.1f} x {y:.1f} x {z:.1f} mm, circle {envelope.circle:.1f} mm, size {size}{once}"


def _findings(envelope: Envelope, was_sized: bool) -> list[Finding]:
    findings = []
    if was_sized and not 1 / EXTREME <= envelope.factor <= EXTREME:
        limit = EXTREME if envelope.factor > 1 else 1 / EXTREME
        findings.append(new_finding("factor_extreme", envelope.factor, limit))
    longest = max(envelope.size)
    if not SMALLEST <= longest <= LARGEST:
        way, limit = ("less", SMALLEST) if longest < SMALLEST else ("more", LARGEST)
        findings.append(new_finding("size_unusual", longest, limit, way=way))
    return findings
