"""What deserves a look about a hold parted into shell and core."""

from collections.abc import Sequence
from itertools import permutations

from holdwright.geometry.core.collar import CollarFit, gap_to_collar, gap_to_hole
from holdwright.geometry.core.core_fit import Fit, height_within, pocket_gap, ring_width, washer_share
from holdwright.geometry.core.parting import Parting, faces_of_whole
from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.mesh.boolean import overlap_volume
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import ScrewHole
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import counted, limit_of, new_finding
from holdwright.hold.hold import CORE, SHELL


def support_findings(
    bores: Sequence[tuple[Hole, float]], fits: Sequence[Fit], core: Solid, collars: int
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
        height = height_within(frustum, column)
        share = 100.0 * washer_share(frusta, column, ring / 2.0) if ring > 0.0 else 100.0
        if ring > 0.0 and share < limit_of("washer_off_core"):
            if height < column.seat:
                where, short = column.on_axis(height), column.seat - height
                findings.append(new_finding("core_below_seat", height, column.seat, where, short=short))
            else:
                findings.append(new_finding("washer_off_core", share, where=column.on_axis(column.seat)))
        volume = core.volume if len(fits) + collars == 1 else overlap_volume(core, frustum.solid)
        if volume < limit_of("core_too_small"):
            findings.append(new_finding("core_too_small", volume, where=column.foot))
    return findings


def fit_findings(columns: Sequence[Hole], fits: Sequence[Fit], clear: float, shell: float) -> list[Finding]:
    """Report cores narrower than the first choice, thin rings, and thin shell round them.

    Parameters
    ----------
    columns, fits
        Where cores stand, and the cores.
    clear
        Least width of the ring round a pocket, and distance from another bore's pocket, mm.
    shell
        Least thickness of shell, mm.
    """
    findings = []
    for column, fit in zip(columns, fits, strict=True):
        chosen, first = 2.0 * fit.frustum.foot_radius, 2.0 * fit.first_choice.foot_radius
        if fit.frustum != fit.first_choice:
            findings.append(new_finding("core_narrowed", chosen, first, column.foot))
        width = ring_width(fit.frustum, column)
        if width is not None and width < clear - 1e-9:
            findings.append(new_finding("thin_core_ring", width, clear, column.on_axis(column.seat)))
    for (column, own), (_, other) in permutations(zip(columns, fits, strict=True), 2):
        # Up to its own top, a bore's own core covers it.
        gap = pocket_gap(other.frustum, column, own.frustum.top)
        if gap is not None and gap < clear:
            findings.append(new_finding("core_near_pocket", gap, clear, column.on_axis(own.frustum.top)))
    for rim, grip in ((fit.to_rim, fit.to_grip) for fit in fits):
        if 0.0 <= rim.distance < shell:
            findings.append(new_finding("core_near_edge", rim.distance, shell, rim.place))
        if 0.0 <= grip.distance < min(shell, rim.distance):
            findings.append(new_finding("thin_shell", grip.distance, shell, grip.place))
    return findings


def pierced_findings(
    parting: Parting, fits: Sequence[Fit], collars: Sequence[CollarFit], whole: HoldSurface
) -> list[Finding]:
    """Report how much of the core lies open at the grip surface, and where it does most; collars apart."""
    area = _open_area(parting, fits, collars, whole)
    if area <= 0.0:
        return []
    worst = min(fits, key=lambda fit: fit.shell)
    deepest = min(worst.to_rim, worst.to_grip, key=lambda nearest: nearest.distance)
    depth = max(-deepest.distance, 0.0)
    return [new_finding("core_pierces", area, where=deepest.place, cm2=area / 100, depth=depth)]


def _open_area(
    parting: Parting, fits: Sequence[Fit], collars: Sequence[CollarFit], whole: HoldSurface
) -> float:
    """Area of the core without its collars that was the hold's grip surface or rim, mm2."""
    outlines = [collar.frustum for collar in collars]
    surface = faces_of_whole(parting.core, [fit.frustum for fit in fits] + outlines)
    left_out = [
        Hole(*each.foot[:2], clearance_diameter=2.0 * each.top_radius, axis=each.axis) for each in outlines
    ]
    open_to_air = HoldSurface(surface, [*whole.bores, *left_out], pockets=whole.pockets)
    return sum(part.area for part in open_to_air.grip())


def piece_findings(parting: Parting, shells: int, cores: int) -> list[Finding]:
    """Report parts that came apart, and the slivers that changed sides to keep them together."""
    findings = []
    for part, pieces, expected in (
        (SHELL, parting.shell_pieces, shells),
        (CORE, parting.core_pieces, cores),
    ):
        count = len(pieces)
        if count > expected:
            listed = ", ".join(f"{volume / 1000:.2f}" for volume in pieces[:4])
            listed += " and more" if count > 4 else ""
            findings.append(new_finding(f"{part}_in_pieces", float(count), float(expected), volumes=listed))
    for taker, moved in ((CORE, parting.to_core), (SHELL, parting.to_shell)):
        if moved:
            findings.append(new_finding(f"sliver_to_{taker}", sum(moved), many=counted(len(moved), "sliver")))
    return findings


def collar_findings(
    holes: Sequence[ScrewHole], collars: Sequence[CollarFit], fits: Sequence[Fit]
) -> list[Finding]:
    """Report screws that stand in the bolt's core, and collars with little shell beside them.

    Parameters
    ----------
    holes, collars
        The screw holes and their collars, in one order.
    fits
        The cores round the bolts.
    """
    findings = []
    for hole, collar in zip(holes, collars, strict=True):
        findings += _beside_cores(hole, collar, fits)
        findings += _beside_rim(hole, collar)
    return findings


def _beside_cores(hole: ScrewHole, collar: CollarFit, fits: Sequence[Fit]) -> list[Finding]:
    where, column = (hole.x, hole.y, 0.0), hole.hole
    to_hole = min((gap_to_hole(fit.frustum, column) for fit in fits), default=0.0)
    if to_hole < 0.0:
        return [new_finding("screw_in_core", to_hole, where=where, depth=-to_hole, screw=_named(hole))]
    web = min((gap_to_collar(fit.frustum, collar.frustum) for fit in fits), default=0.0)
    if 0.0 < web < limit_of("thin_shell_at_collar"):
        return [new_finding("thin_shell_at_collar", web, where=where, screw=_named(hole))]
    return []


def _beside_rim(hole: ScrewHole, collar: CollarFit) -> list[Finding]:
    near = collar.to_rim
    if near.distance >= limit_of("collar_near_edge"):
        return []
    code = "collar_near_edge:cut" if near.distance < 0.0 else "collar_near_edge"
    depth = -near.distance
    return [new_finding(code, near.distance, where=near.place, depth=depth, screw=_named(hole))]


def _named(hole: ScrewHole) -> str:
    return f"the screw at {hole.x + 0.0:.1f}, {hole.y + 0.0:.1f} mm"
