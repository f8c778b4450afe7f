"""Edges and tips of the gripping surface that are sharper than hands or feet bear."""

import numpy as np

from holdwright.checks.check import Check, Checked
from holdwright.checks.printed_hold import PrintedHold
from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.measure.deviation import SurfacePoints
from holdwright.geometry.measure.edge_radius import SharpPlaces, sharp_places
from holdwright.geometry.measure.sections import inside
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.relief.pocket import grown
from holdwright.hold.cut_surfaces import holes
from holdwright.hold.feature import BackPocket, TipCut
from holdwright.hold.finding import Finding, point
from holdwright.hold.finding_builder import counted, new_finding
from holdwright.progress import Progress

GRIP, BACK, MOUTH, HIDDEN, CUT = range(5)
"""Where an edge is: on the gripping surface, round the back, at a hole's mouth, where nobody feels it, or
round the flat of a tip cut blunt."""

MOST = 20
"""At most so many stretches are told of one by one."""

SHORT, POINTED = 3.0, 0.5
"""What is shorter than so many radii counts only where its own is less than this share: our choice."""

_INNER = 1.0
"""What is so near to the core lies within the hold, mm."""


def _look(printed: PrintedHold, progress: Progress) -> Checked:
    radius = printed.requested.least_radius
    found = sharp_places(printed.shell.mesh, radius, progress.part(0.0, 0.6))
    progress.report(0.6, "telling edges apart")
    kinds = _kinds(printed, found.points, radius)
    grip = found.chosen(kinds == GRIP)
    stretches = [each for each in grip.stretches(radius) if _counts(each, radius)]
    cut = found.chosen(kinds == CUT)
    findings = [_finding(each, radius) for each in stretches[:MOST]]
    findings += [_of_cuts(printed, cut, radius)] if len(cut.points) else []
    length = sum(float(each.length.sum()) for each in stretches)
    round_back, mouths = (float(found.length[kinds == kind].sum()) for kind in (BACK, MOUTH))
    places = counted(len(stretches), "place")
    words = f"{length:.0f} mm in {places}; {round_back:.0f} mm round the back, {mouths:.0f} mm at holes"
    if not stretches:
        return Checked(None, radius, findings=tuple(findings), words=words)
    worst = min(stretches, key=_sharpest)
    return Checked(_sharpest(worst), radius, point(_place(worst)), tuple(findings), words=words)


def _finding(places: SharpPlaces, radius: float) -> Finding:
    length = float(places.length.sum())
    extent = np.linalg.norm(np.ptp(places.points, axis=0))
    code = "sharp_edge" if extent >= SHORT * radius else "sharp_edge:point"
    return new_finding(code, _sharpest(places), radius, _place(places), length=length)


def _of_cuts(printed: PrintedHold, places: SharpPlaces, radius: float) -> Finding:
    """Tell of the edges round all tips cut blunt at once."""
    tips = counted(len(printed.hold.find(TipCut)), "cut tip")
    length = float(places.length.sum())
    return new_finding("sharp_edge:cut", _sharpest(places), radius, _place(places), length=length, tips=tips)


def _sharpest(places: SharpPlaces) -> float:
    """Radius along most of a stretch, mm: single places are more exact than the mesh is."""
    return float(np.median(places.radius))


def _place(places: SharpPlaces) -> Floats:
    return np.asarray(places.points[int(np.argmin(places.radius))])


def _counts(places: SharpPlaces, radius: float) -> bool:
    """Tell an edge or a point from a flaw of the mesh, which is short and hardly too sharp."""
    return bool(places.length.sum() >= SHORT * radius or places.radius.min() <= POINTED * radius)


def _kinds(printed: PrintedHold, points: Floats, radius: float) -> Indices:
    """Tell of each place (n, 3) where it is."""
    kinds = np.full(len(points), GRIP)
    low = float(printed.shell.bounds[0, 2])
    back = low if printed.rim is None else max(low, 0.0)
    if printed.core is not None:
        kinds[_near(printed.core.mesh, points)] = HIDDEN
    for hole in holes(printed.hold.features):
        away, height = hole.seen_from(points)
        within = hole.on_surface(points, radius)
        seen = (height > hole.mouth + radius) & (away > hole.pocket_radius - radius)
        kinds[within] = np.where(seen[within], MOUTH, HIDDEN)
    kinds[(points[:, 2] < back + radius) & (kinds == GRIP)] = BACK
    for tip in printed.hold.find(TipCut):
        away = points - np.array(tip.place)
        above = away @ np.array(tip.normal)
        beside = np.linalg.norm(away - above[:, None] * np.array(tip.normal), axis=1)
        kinds[(np.abs(above) < radius) & (beside < tip.width) & (kinds == GRIP)] = CUT
    for pocket in printed.hold.find(BackPocket):
        covered = inside(points[:, :2], grown(pocket.drawn, radius)) & (points[:, 2] < pocket.depth + radius)
        kinds[covered] = HIDDEN
    return kinds


def _near(core: Mesh, points: Floats) -> Indices:
    """Give the numbers of points (n, 3) that lie at the core: only round these is it looked at closely."""
    low, high = core.bounds[0] - _INNER, core.bounds[1] + _INNER
    some = np.flatnonzero(((points > low) & (points < high)).all(axis=1))
    if not len(some):
        return some
    around = core.near(points[some].min(axis=0) - _INNER, points[some].max(axis=0) + _INNER)
    if not len(around.triangles):
        return some[:0]
    return np.asarray(some[SurfacePoints(around, _INNER).near(points[some]).distance < _INNER])


SHARP_EDGES = Check("sharp_edge", "Sharp edges", ("use", "edge_radius"), _look)
