"""What deserves a look about the collars round screw holes."""

from collections.abc import Sequence

from holdwright.geometry.core.collar import CollarFit, gap_to_collar, gap_to_hole
from holdwright.geometry.core.core_fit import Fit
from holdwright.hold.feature import ScrewHole
from holdwright.hold.finding import Finding
from holdwright.hold.finding_table import limit_of, new_finding


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
