"""How a finished hold prints, as the window shows it: checked and mapped in the geometry process."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from holdwright.checks.check import SurfaceMap
from holdwright.geometry.mesh.solid import Solid
from holdwright.pipeline.replaying.print_checks import PrintVerdict, print_verdict
from holdwright.pipeline.views.analysis import Places, SurfaceField, at_places
from holdwright.pipeline.views.work_context import WorkContext

WIDE = 3.0
"""Colours end at so many times the limit."""

STEEPEST = 90.0
"""Greatest slope there is, degrees."""


@dataclass(frozen=True)
class PrintRequest:
    """Which hold is to be checked."""

    step: str
    key: str
    """step, key: its last step, and the key of the result."""
    places: Mapping[str, Places]
    """For each solid, by name, (n, 3) float32 places on its surface, mm: the vertices drawn."""


@dataclass(frozen=True, eq=False)
class CheckField(SurfaceField):
    """A check's figure over the surface of one solid."""

    limit: float
    unit: str
    """limit, unit: as of `SurfaceMap`."""


@dataclass(frozen=True, eq=False)
class PrintView:
    """What the checks found, with their maps at the places requested."""

    verdict: PrintVerdict | None
    """Without maps of its own; None where there is nothing of true size to print."""
    fields: Mapping[str, Mapping[str, CheckField]]
    """By the code of the check, then by the name of the solid: of those places were requested on."""
    mapped: frozenset[str] = frozenset()
    """Codes of all checks that have maps."""


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
    fields: dict[str, dict[str, CheckField]] = {}
    for row in verdict.rows if verdict else ():
        for each in row.maps:
            if each.part in request.places:
                field = _field(hold.solids[each.part], each, request.places[each.part])
                fields.setdefault(row.code, {})[each.part] = field
    context.progress.report(1.0, "checked")
    mapped = frozenset(row.code for row in verdict.rows if row.maps) if verdict else frozenset()
    if verdict is not None:
        verdict = replace(verdict, rows=tuple(replace(row, maps=()) for row in verdict.rows))
    return PrintView(verdict, fields, mapped)


def _field(solid: Solid, found: SurfaceMap, places: Places) -> CheckField:
    """Give a map at places, on a scale from 0 to beyond its limit: the worst of the faces that meet there.

    Faces without a figure pass.
    """
    high = WIDE * found.limit if found.limit else float(np.nanmax(found.values, initial=1.0))
    high = min(high, STEEPEST) if found.unit == "deg" else high
    values = np.clip(np.where(np.isfinite(found.values), found.values, high if found.least else 0.0), 0, high)
    worst = int(np.argmin(values) if found.least else np.argmax(values))
    x, y, z = solid.mesh.corners[worst].mean(axis=0).tolist()
    of_vertices = np.full(len(solid.vertices), high if found.least else 0.0)
    worse = np.minimum if found.least else np.maximum
    worse.at(of_vertices, solid.triangles.ravel(), np.repeat(values, 3))
    drawn = at_places(solid, of_vertices, places).astype(np.float32)
    return CheckField(drawn, 0.0, high, (x, y, z), found.limit, found.unit)
