"""What deserves a look about a screw hole, in words."""

from holdwright.geometry.hole.hole_check import ScrewFigures
from holdwright.geometry.hole.hole_cut import HoleCut
from holdwright.geometry.hole.hole_site import Least
from holdwright.geometry.hole.screw_search import ScrewWanted
from holdwright.hold.finding import Finding, point
from holdwright.operations.hole_step import piece_findings, shortfalls

SOME = 0.02
"""Share of a countersink that may lack material before it is worth a word: a few columns at its rim."""

MOST = 0.5
"""Share of a head on the grip surface above which it is worth a word."""

BIT = 25.0
"""Usual length of a screwdriver's bit, mm (common practice, no source): deeper heads want a longer one."""

_EVEN = 0.05
_INWARD = "Move the screw away from that side."
_APART = "Move them apart."


def screw_findings(
    figures: ScrewFigures, cut: HoleCut, wanted: ScrewWanted, tilt: float
) -> tuple[Finding, ...]:
    """Report all that deserves a look about a screw hole.

    Parameters
    ----------
    tilt
        Of the axis off the wall's normal, degrees.
    """
    return (
        *_shortfalls(figures, wanted),
        *_neighbours(figures, wanted),
        *_head(figures, tilt),
        *_driver(figures, wanted),
        *piece_findings(cut, "screw hole", "screw"),
    )


def _shortfalls(figures: ScrewFigures, wanted: ScrewWanted) -> list[Finding]:
    """Thickness, wall and edge distance that are less than required."""
    advice = "Choose a place where the hold is thicker, a smaller screw, or a countersink less deep."
    under = ("thin_under_head", figures.under_head, wanted.under_head, "Under the head there is", advice)
    words = "From the screw's axis to the edge of the back there is"
    edge = ("screw_near_edge", figures.edge, wanted.edge, words, _INWARD)
    if figures.wall.value < 0.0:
        text = f"The screw hole breaks through the side of the hold, by {-figures.wall.value:.1f} mm."
        broken = _into("screw_breaks_wall", text, figures.wall, wanted.wall, _INWARD)
        return [*shortfalls([under], _EVEN), broken, *shortfalls([edge], _EVEN)]
    wall = ("thin_wall_at_screw", figures.wall, wanted.wall, "The wall round the screw hole is", _INWARD)
    return shortfalls([under, wall, edge], _EVEN)


def _neighbours(figures: ScrewFigures, wanted: ScrewWanted) -> list[Finding]:
    findings = []
    for code, walls, what in (
        ("screw_near_bore", figures.bores, "a bore"),
        ("screw_near_screw", figures.screws, "another screw hole"),
        ("screw_near_tip", figures.tips, "a cut tip"),
    ):
        for wall in walls:
            if wall.value < 0.0 and code != "screw_near_tip":
                text = f"The screw hole runs into {what}, by {-wall.value:.1f} mm."
                findings.append(_into(code, text, wall, wanted.wall, _APART))
            else:
                words = f"Between the screw hole and {what} there is"
                findings += shortfalls([(code, wall, wanted.wall, words, _APART)], _EVEN)
    return findings


def _head(figures: ScrewFigures, tilt: float) -> list[Finding]:
    findings, bare, on_grip = [], figures.bare, figures.on_grip
    if bare.value > SOME:
        text = f"The countersink breaks out: {bare.value:.0%} of its rim has no material to press on."
        leaning = "Lean the screw less, or move it inward."
        advice = leaning if tilt > 0.0 else "Move the screw inward, or lean it square to the surface."
        where, share = point(bare.place), 100.0 * bare.value
        findings.append(Finding("countersink_broken", "error", text, share, 0.0, "%", where, advice))
    if on_grip.value > MOST:
        text = "The screw's head lies on what faces up the wall, where hands hold on."
        advice = "Put the screw to the side of the grip, and feel the pocket's rim."
        where, share = point(on_grip.place), 100.0 * on_grip.value
        findings.append(Finding("screw_on_grip", "note", text, share, None, "%", where, advice))
    return findings


def _driver(figures: ScrewFigures, wanted: ScrewWanted) -> list[Finding]:
    findings, blocked, deep = [], figures.blocked, figures.depth
    if deep.value > BIT:
        wide = figures.hole.pocket_diameter
        text = f"The screw's head lies {deep.value:.0f} mm deep in a pocket {wide:.1f} mm wide."
        advice = "Have a bit as long at hand, or allow more under the head, for a longer screw."
        findings.append(Finding("deep_head", "note", text, deep.value, BIT, "mm", point(deep.place), advice))
    if blocked is not None:
        text = (
            f"The driver is blocked: {blocked.value:.0f} mm above the head the hold is within "
            f"{wanted.driver / 2:g} mm of the screw's axis."
        )
        advice, where = (
            "Move the screw out from under the overhang, or lean it outward.",
            point(blocked.place),
        )
        findings.append(Finding("driver_blocked", "error", text, blocked.value, None, "mm", where, advice))
    return findings


def _into(code: str, text: str, wall: Least, limit: float, advice: str) -> Finding:
    return Finding(code, "error", text, wall.value, limit, "mm", point(wall.place), advice)
