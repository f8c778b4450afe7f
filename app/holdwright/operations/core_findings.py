"""What deserves a look about a hold parted into shell and core."""

from collections.abc import Sequence
from itertools import permutations

import numpy as np

from holdwright.geometry.core.collar import CollarFit
from holdwright.geometry.core.core_fit import Fit, pocket_gap, ring_width
from holdwright.geometry.core.parting import Parting, faces_of_whole
from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.hole.hole import Hole
from holdwright.hold.finding import Finding, point
from holdwright.hold.hold import CORE, SHELL


def width_findings(columns: Sequence[Hole], fits: Sequence[Fit], limit: float) -> list[Finding]:
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
        width = ring_width(fit.frustum, column)
        if width is not None and width < limit - 1e-9:
            text = f"Above the seat the core is a ring only {width:.1f} mm wide round the pocket."
            advice = "Make the core wider at its top, or narrower than the pocket."
            place = _on_axis(column, column.seat)
            findings.append(Finding("thin_core_ring", "warning", text, width, limit, "mm", place, advice))
    return findings


def pocket_findings(columns: Sequence[Hole], fits: Sequence[Fit], limit: float) -> list[Finding]:
    """Report cores that end near the pocket of another bore, above what that bore's own core covers."""
    findings = []
    for (column, own), (_, other) in permutations(zip(columns, fits, strict=True), 2):
        gap = pocket_gap(other.frustum, column, own.frustum.top)
        if gap is not None and gap < limit:
            text = f"The core of one bore ends {gap:.1f} mm from another bore's pocket, above its seat."
            advice = "Move the bores apart, or bring their seats to one height."
            place = _on_axis(column, own.frustum.top)
            findings.append(Finding("core_near_pocket", "warning", text, gap, limit, "mm", place, advice))
    return findings


def shell_findings(fits: Sequence[Fit], limit: float) -> list[Finding]:
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


def pierced_findings(
    parting: Parting, fits: Sequence[Fit], collars: Sequence[CollarFit], holes: Sequence[Hole]
) -> list[Finding]:
    """Report how much of the core lies open at the grip surface, and where it does most; collars apart."""
    area = _open_area(parting, fits, collars, holes)
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


def _open_area(
    parting: Parting, fits: Sequence[Fit], collars: Sequence[CollarFit], holes: Sequence[Hole]
) -> float:
    """Area of the core without its collars that was the hold's grip surface or rim, mm2."""
    outlines = [collar.frustum for collar in collars]
    vertices, triangles = faces_of_whole(parting.core, [fit.frustum for fit in fits] + outlines)
    left_out = [
        Hole(*each.foot[:2], clearance_diameter=2.0 * each.top_radius, axis=each.axis) for each in outlines
    ]
    corners = vertices[np.concatenate(HoldSurface(vertices, triangles, [*holes, *left_out]).grip())]
    doubled = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return float(np.linalg.norm(doubled, axis=1).sum() / 2.0)


def piece_findings(parting: Parting, shells: int, cores: int) -> list[Finding]:
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


def _on_axis(column: Hole, height: float) -> tuple[float, float, float]:
    return point(column.on_axis(height))
