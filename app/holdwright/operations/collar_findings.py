"""What deserves a look about the collars round screw holes."""

from collections.abc import Sequence

from holdwright.geometry.core.collar import CollarFit, gap_to_collar, gap_to_hole
from holdwright.geometry.core.core_fit import Fit
from holdwright.hold.feature import ScrewHole
from holdwright.hold.finding import Finding

THIN = 2.0
"""mm of shell beside a collar below which it is worth a word: it prints as walls alone. Our choice."""


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
    where = (hole.x, hole.y, 0.0)
    column, spot = hole.hole, f"the screw at {hole.x + 0.0:.1f}, {hole.y + 0.0:.1f} mm"
    to_hole = min((gap_to_hole(fit.frustum, column) for fit in fits), default=THIN)
    if to_hole < 0.0:
        text = f"The hole for {spot} stands {-to_hole:.1f} mm within the bolt's core and weakens it."
        advice = "Move the screw farther from the bolt, or give the core a smaller diameter."
        return [Finding("screw_in_core", "warning", text, to_hole, 0.0, "mm", where, advice)]
    web = min((gap_to_collar(fit.frustum, collar.frustum) for fit in fits), default=THIN)
    if 0.0 < web < THIN:
        text = f"Between the bolt's core and the collar of {spot} only {web:.1f} mm of shell is left."
        advice = "Give the collar a larger diameter, so that they join, or move the screw outward."
        return [Finding("thin_shell_at_collar", "note", text, web, THIN, "mm", where, advice)]
    return []


def _beside_rim(hole: ScrewHole, collar: CollarFit) -> list[Finding]:
    near = collar.to_rim
    if near.distance >= THIN:
        return []
    spot = f"the collar of the screw at {hole.x + 0.0:.1f}, {hole.y + 0.0:.1f} mm"
    if near.distance < 0.0:
        text = f"The rim cuts {-near.distance:.1f} mm into {spot}, so that part of it lies open."
    else:
        text = f"Between the rim and {spot} only {near.distance:.1f} mm of shell is left."
    advice = "Move the screw inward, or give the collar a smaller diameter."
    return [Finding("collar_near_edge", "note", text, near.distance, THIN, "mm", near.place, advice)]
