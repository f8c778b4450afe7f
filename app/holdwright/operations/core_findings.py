"""What deserves a look about a hold parted into shell and core."""

from collections.abc import Sequence
from itertools import permutations

import numpy as np

from holdwright.geometry.core.collar import CollarFit
from holdwright.geometry.core.core_fit import Fit, height_within, pocket_gap, ring_width, washer_share
from holdwright.geometry.core.parting import Parting, faces_of_whole
from holdwright.geometry.measure.grip_surface import Column, HoldSurface
from holdwright.geometry.mesh.boolean import overlap_volume
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.finding import Finding, Severity
from holdwright.hold.hold import CORE, SHELL

LEAST_SHARE, FULL_SHARE = 50.0, 70.0
"""Percent of a washer's area that a core must carry: not an error, and not a warning. Our choice."""

LEAST_CORE = 1000.0
"""mm3 below which a core holds nothing: about a gram. Our choice."""


def support_findings(
    bores: Sequence[tuple[Column, float]], fits: Sequence[Fit], core: Solid, collars: int
) -> list[Finding]:
    """Report cores that do not carry their washer, and cores too small to hold anything.

    Parameters
    ----------
    bores
        For each core its bore and the diameter of what presses on the seat, mm; no seat at 0.
    fits
        The cores, in the same order.
    core
        The part they make, with its collars.
    collars
        How many of them there are.
    """
    findings = []
    frusta = [fit.frustum for fit in fits]
    for (column, ring), frustum in zip(bores, frusta, strict=True):
        advice = "Make the core wider, or leave its diameters at 0."
        height = height_within(frustum, column)
        share = 100.0 * washer_share(frusta, column, ring / 2.0) if ring > 0.0 else 100.0
        if ring > 0.0 and height < column.seat and share < LEAST_SHARE:
            text = f"The core ends {column.seat - height:.1f} mm below the seat and does not carry the bolt."
            where = _on_axis(column, height)
            findings.append(
                Finding("core_below_seat", "error", text, height, column.seat, "mm", where, advice)
            )
        elif share < FULL_SHARE:
            text = f"The core carries only {share:.0f} % of the washer; the rest stands on the light shell."
            severity: Severity
            limit, severity = (LEAST_SHARE, "error") if share < LEAST_SHARE else (FULL_SHARE, "warning")
            where = _on_axis(column, column.seat)
            findings.append(Finding("washer_off_core", severity, text, share, limit, "%", where, advice))
        volume = core.volume if len(fits) + collars == 1 else overlap_volume(core, frustum.solid)
        if volume < LEAST_CORE:
            text = f"The core has only {volume:.1f} mm3 and holds nothing."
            where = _on_axis(column, 0.0)
            findings.append(
                Finding("core_too_small", "error", text, volume, LEAST_CORE, "mm3", where, advice)
            )
    return findings


def width_findings(columns: Sequence[Column], fits: Sequence[Fit], limit: float) -> list[Finding]:
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


def pocket_findings(columns: Sequence[Column], fits: Sequence[Fit], limit: float) -> list[Finding]:
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
    parting: Parting, fits: Sequence[Fit], collars: Sequence[CollarFit], holes: Sequence[Column]
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
    parting: Parting, fits: Sequence[Fit], collars: Sequence[CollarFit], holes: Sequence[Column]
) -> float:
    """Area of the core without its collars that was the hold's grip surface or rim, mm2."""
    outlines = [collar.frustum for collar in collars]
    vertices, triangles = faces_of_whole(parting.core, [fit.frustum for fit in fits] + outlines)
    left_out = [Column(each.foot, each.axis, 0.0, hole_radius=each.top_radius) for each in outlines]
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


def _on_axis(column: Column, height: float) -> tuple[float, float, float]:
    x, y, z = (np.array(column.foot) + height * np.array(column.axis)).tolist()
    return (x, y, z)
