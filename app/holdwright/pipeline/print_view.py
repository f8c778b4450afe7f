"""How a finished hold prints, as the window shows it: checked and mapped in the geometry process."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from holdwright.checks.check import SurfaceMap
from holdwright.geometry.mesh.solid import Solid
from holdwright.pipeline.analysis import Places, SurfaceField, at_places, at_vertices
from holdwright.pipeline.print_checks import PrintVerdict, print_verdict
from holdwright.pipeline.work_context import WorkContext

WIDE = 3.0
"""Colours end at so many times the limit."""


@dataclass(frozen=True)
class PrintRequest:
    """Which hold is to be checked."""

    step: str
    key: str
    """step, key: its last step, and the key of the result."""
    places: Mapping[str, Places]
    """For each solid, by name, (n, 3) float32 places on its surface, mm: the vertices drawn."""


@dataclass(frozen=True, eq=False)
class PrintView:
    """What the checks found, with their maps at the places requested."""

    verdict: PrintVerdict | None
    """Without maps of its own; None where there is nothing of true size to print."""
    fields: Mapping[str, Mapping[str, SurfaceField]]
    """By the code of the check, then by the name of the solid."""


def check_print(context: WorkContext, request: PrintRequest) -> PrintView:
    """Check the print of a hold.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader or a step raised it, where the hold has to be made anew.
    Cancelled
        When that is requested.
    """
    context.progress.report(0.0, "checking the print")
    hold = context.hold(request.step, request.key, context.progress.part(0.0, 0.3))
    verdict = print_verdict(
        hold,
        context.recipe.print,
        context.catalogue,
        context.cache.of_operations,
        context.progress.part(0.3, 0.9),
    )
    fields: dict[str, dict[str, SurfaceField]] = {}
    for row in verdict.rows if verdict else ():
        for each in row.maps:
            if each.part in request.places:
                field = _field(hold.solids[each.part], each, request.places[each.part])
                fields.setdefault(row.code, {})[each.part] = field
    context.progress.report(1.0, "checked")
    if verdict is not None:
        verdict = replace(verdict, rows=tuple(replace(row, maps=()) for row in verdict.rows))
    return PrintView(verdict, fields)


def _field(solid: Solid, found: SurfaceMap, places: Places) -> SurfaceField:
    """Give a map at places, with a scale from 0 to beyond its limit; faces without a figure are at the end
    of it that passes.
    """
    high = WIDE * found.limit if found.limit else float(np.nanmax(found.values, initial=1.0))
    areas = solid.mesh.areas
    values = np.clip(np.where(np.isfinite(found.values), found.values, high if found.least else 0.0), 0, high)
    worst = int(np.argmin(values) if found.least else np.argmax(values))
    x, y, z = solid.mesh.corners[worst].mean(axis=0).tolist()
    shown = at_places(solid, at_vertices(solid, values, areas), places)
    return SurfaceField(shown.astype(np.float32), 0.0, high, (x, y, z))
