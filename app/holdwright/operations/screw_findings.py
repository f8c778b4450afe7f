"""What deserves a look about a screw hole."""

from holdwright.geometry.hole.hole_cut import HoleCut
from holdwright.geometry.hole.hole_figures import ScrewFigures
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import limit_of, new_finding
from holdwright.operations.hole_step import piece_findings, shortfalls

SOME = 0.02
"""Share of a countersink that may lack material before it is worth a word: a few columns at its rim."""

MOST = 0.5
"""Share of a head on the grip surface above which it is worth a word."""

_EVEN = 0.05


def screw_findings(figures: ScrewFigures, cut: HoleCut, tilt: float) -> tuple[Finding, ...]:
    """Report all that deserves a look about a screw hole.

    Parameters
    ----------
    tilt
        Of the axis off the wall's normal, degrees.
    """
    required = figures.required
    walls = [("screw_breaks_wall", "thin_wall_at_screw", figures.wall)]
    walls += [("screw_near_bore:into", "screw_near_bore", wall) for wall in figures.bores]
    walls += [("screw_near_screw:into", "screw_near_screw", wall) for wall in figures.screws]
    walls += [("", "screw_near_tip", wall) for wall in figures.tips]
    findings = shortfalls([("thin_under_head", figures.under_head, required.under_head)], _EVEN)
    findings += shortfalls([("screw_near_edge", figures.edge, required.edge)], _EVEN)
    for through, thin, wall in walls:
        if through and wall.value < 0.0:
            findings.append(new_finding(through, wall.value, required.wall, wall.place, depth=-wall.value))
        else:
            findings += shortfalls([(thin, wall, required.wall)], _EVEN)
    return (*findings, *_head(figures, tilt), *piece_findings(cut, "screw hole", "screw"))


def _head(figures: ScrewFigures, tilt: float) -> list[Finding]:
    findings, bare, on_grip = [], figures.bare, figures.on_grip
    deep, blocked = figures.depth, figures.blocked
    if bare.value > SOME:
        advice = "Lean the screw less, or move it inward." if tilt > 0.0 else None
        findings.append(new_finding("countersink_broken", 100 * bare.value, where=bare.place, advice=advice))
    if on_grip.value > MOST:
        findings.append(new_finding("screw_on_grip", 100 * on_grip.value, where=on_grip.place))
    if deep.value > limit_of("deep_head"):
        wide = figures.hole.pocket_diameter
        findings.append(new_finding("deep_head", deep.value, where=deep.place, wide=wide))
    if blocked is not None:
        room = figures.required.driver / 2
        findings.append(new_finding("driver_blocked", blocked.value, where=blocked.place, room=room))
    return findings
