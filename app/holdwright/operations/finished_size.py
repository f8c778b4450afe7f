"""Scaling a hold so that what the trim will leave of it meets its envelope."""

from dataclasses import replace
from typing import Final

import numpy as np

from holdwright.errors import GeometryError, HoldwrightError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.envelope import smallest_circle
from holdwright.geometry.measure.sections import level_edges
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.trim.flat_back import cut_above
from holdwright.hold.feature import Envelope, FoundBack
from holdwright.hold.finding import point
from holdwright.hold.hold import Hold
from holdwright.operations.back_plan import BackPlan, cut_height, planned_back
from holdwright.operations.envelope_size import factor_to
from holdwright.operations.trim_parameters import TrimBaseParameters

_ROUNDS: Final = 40
_EXACT: Final = 1e-12
_CUTS: Final = 4


def sized_finished(
    hold: Hold, envelope: Envelope, trim: TrimBaseParameters, held: float | None = None
) -> tuple[Hold, Envelope]:
    """Scale a hold again, so that what the trim leaves meets the envelope, and put that round x = y = 0.

    Parameters
    ----------
    hold
        Scaled so that the whole sculpt meets it; lowest point on z = 0.
    envelope
        What is requested.
    trim
        The trim's parameters. Where they leave nothing of the hold it stays as it is, for the trim to say so.
    held
        z at which a trim by height shall cut the sculpt, in place of that height, mm.

    Notes
    -----
    A rim and a cut height are true millimetres, so where the cut passes through the sculpt depends on the
    scale: the two are found together, by putting what stays to its size again and again.
    """
    try:
        if held is not None:
            trim = trim.model_copy(update={"height": max(held - float(hold.whole.bounds[0, 2]), 0.0)})
        plan = replace(planned_back(hold, trim), held=held is not None)
        factor, silhouette, size = _factor_for(hold.whole, envelope, trim, plan)
    except HoldwrightError:
        return hold, replace(
            envelope, finished=True
        )  # the trim says what is amiss, or by how much it departs
    circle = smallest_circle(silhouette * factor)
    shift = np.array([-circle.x, -circle.y, 0.0])
    if trim.by == "found":
        places = [point((0.0, 0.0, z)) for z in (plan.back, *plan.others)]
        back = FoundBack(places[0], (0.0, 0.0, -1.0), tuple(places[1:]), joined=plan.joined)
        hold = replace(hold, features=(*hold.features, back))
    sized = replace(
        envelope,
        circle=circle.diameter,
        size=point(factor * size),
        factor=envelope.factor * factor,
        finished=True,
    )
    return hold.moved(placement(np.eye(3) * factor, shift)), sized


def _factor_for(
    whole: Solid, envelope: Envelope, trim: TrimBaseParameters, plan: BackPlan
) -> tuple[float, Floats, Floats]:
    """Give the further factor, and silhouette and extent, before it, of what stays."""
    factor, top = 1.0, float(whole.bounds[1, 2])
    for _ in range(_CUTS):
        cut = _cut(plan, trim, factor, top)[0]
        front = cut_above(whole, cut)[0]
        for _ in range(_ROUNDS):
            silhouette, size = _stays(front, *_cut(plan, trim, factor, top))
            better = factor_to(envelope.rule, envelope.asked, silhouette, point(size))
            settled, factor = abs(better / factor - 1.0) < _EXACT, better
            if settled:
                break
        # The cut moved toward the back: what hangs together there is cut anew.
        if _cut(plan, trim, factor, top)[0] >= cut - 1e-9:
            break
    return factor, silhouette, size


def _cut(plan: BackPlan, trim: TrimBaseParameters, factor: float, top: float) -> tuple[float, float]:
    """Give z of cut and finished back before a further factor, after which the rim has its height."""
    rim = trim.rim / factor
    if plan.joined:
        return plan.back, plan.back
    if plan.held:
        return plan.cut, plan.cut - rim
    cut = trim.height / factor if trim.by == "height" else cut_height(plan.back, rim, top)
    return cut, cut - rim


def _stays(front: Solid, cut: float, back: float) -> tuple[Floats, Floats]:
    """Give silhouette points (n, 2) and extent (3,) of what is in front of a cut, drawn out to the back."""
    above = front.vertices[front.vertices[:, 2] >= cut - 1e-9]
    start, end, _ = level_edges(front.mesh, np.array([cut]))
    silhouette = np.concatenate([above[:, :2], start, end])
    if not len(silhouette):
        raise GeometryError("The trim leaves nothing of the hold; cut lower.")
    across = np.ptp(silhouette, axis=0)
    return silhouette, np.array([*across, float(front.bounds[1, 2]) - back])
