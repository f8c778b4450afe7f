"""Edges and tips of the gripping surface that are sharper than hands or feet bear."""

import numpy as np

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.deviation import SurfacePoints
from holdwright.geometry.measure.edge_radius import SharpPlaces, sharp_places
from holdwright.hold.feature import Bore, ScrewHole
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import counted, new_finding

GRIP, BACK, MOUTH, HIDDEN = range(4)
"""Where an edge is: on the gripping surface, round the back, at a hole's mouth, or where nobody feels it."""

MOST = 20
"""At most so many stretches are told of one by one."""

_INNER = 1.0
"""What is so near to the core lies within the hold, mm."""


def _look(printed: PrintedHold) -> Checked:
    radius = printed.requested.least_radius
    found = sharp_places(printed.shell.mesh, radius)
    kinds = _kinds(printed, found.points, radius)
    grip = found.chosen(kinds == GRIP)
    # What is shorter than the radius is no edge but a flaw of the mesh.
    stretches = [each for each in grip.stretches(radius) if each.length.sum() >= radius]
    findings = [_finding("sharp_edge", each, radius) for each in stretches[:MOST]]
    for kind, code in ((BACK, "sharp_edge:back"), (MOUTH, "sharp_edge:mouth")):
        some = found.chosen(kinds == kind)
        if some.length.sum() >= radius:
            findings.append(_finding(code, some, radius))
    if not stretches:
        return Checked(None, radius, None, tuple(findings), words="no edge of the gripping surface")
    worst = min(stretches, key=lambda each: float(np.median(each.radius)))
    length = sum(float(each.length.sum()) for each in stretches)
    words = f"{length:.0f} mm in {counted(len(stretches), 'place')}"
    return Checked(float(np.median(worst.radius)), radius, findings[0].where, tuple(findings), words=words)


def _finding(code: str, places: SharpPlaces, radius: float) -> Finding:
    at = places.points[int(np.argmin(places.radius))]
    length = float(places.length.sum())
    return new_finding(code, float(np.median(places.radius)), radius, at, length=length)


def _kinds(printed: PrintedHold, points: Floats, radius: float) -> Indices:
    """Tell of each place (n, 3) where it is."""
    kinds = np.full(len(points), GRIP)
    low = float(printed.shell.bounds[0, 2])
    back = low if printed.rim is None else max(low, 0.0)
    if printed.core is not None and len(points):
        inner = SurfacePoints(printed.core.mesh, _INNER).near(points).distance < _INNER
        kinds[inner] = HIDDEN
    for feature in printed.hold.features:
        if isinstance(feature, Bore | ScrewHole):
            hole = feature.hole
            away, height = hole.seen_from(points)
            within = hole.on_surface(points, radius)
            seen = (height > hole.mouth + radius) & (away > hole.pocket_radius - radius)
            kinds[within] = np.where(seen[within], MOUTH, HIDDEN)
    kinds[(points[:, 2] < back + radius) & (kinds == GRIP)] = BACK
    return kinds


SHARP_EDGES = Check("sharp_edge", "Sharp edges", ("use", "edge_radius"), _look)
