"""What deserves a look about a screw hole, in words."""

from holdwright.geometry.hole.bore_walls import Least
from holdwright.geometry.hole.screw_check import ScrewFigures
from holdwright.geometry.hole.screw_hole import ScrewCut
from holdwright.geometry.hole.screw_search import ScrewWanted
from holdwright.hold.finding import Finding, Severity, point

GRAVE = 0.5
"""Less than this share of what is wanted is an error, not a warning."""

SOME = 0.02
"""Share of a countersink that may lack material before it is worth a word: a few columns at its rim."""

MOST = 0.5
"""Share of a head on the grip surface above which it is worth a word."""

BIT = 25.0
"""Usual length of a screwdriver's bit, mm (common practice, no source): deeper heads want a longer one."""

_EVEN = 0.05


def screw_findings(
    figures: ScrewFigures, cut: ScrewCut, wanted: ScrewWanted, tilt: float
) -> tuple[Finding, ...]:
    """Say all that deserves a look about a screw hole.

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
        *_pieces(cut),
    )


def _shortfalls(figures: ScrewFigures, wanted: ScrewWanted) -> list[Finding]:
    """Thickness, wall and edge distance that are less than wanted."""
    findings = []
    if figures.under_head.value < wanted.under_head - _EVEN:
        advice = "Choose a place where the hold is thicker, a smaller screw, or a countersink less deep."
        findings.append(
            _short(
                "thin_under_head", figures.under_head, wanted.under_head, "Under the head there is", advice
            )
        )
    if figures.wall.value < 0.0:
        text = f"The screw hole breaks through the side of the hold, by {-figures.wall.value:.1f} mm."
        findings.append(_met("screw_breaks_wall", "error", text, figures.wall, wanted.wall, _INWARD))
    elif figures.wall.value < wanted.wall - _EVEN:
        words = "The wall round the screw hole is"
        findings.append(_short("thin_wall_at_screw", figures.wall, wanted.wall, words, _INWARD))
    if figures.edge.value < wanted.edge - _EVEN:
        words = "From the screw's axis to the edge of the back there is"
        findings.append(_short("screw_near_edge", figures.edge, wanted.edge, words, _INWARD))
    return findings


_INWARD = "Move the screw away from that side."


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
                findings.append(_met(code, "error", text, wall, wanted.wall, "Move them apart."))
            elif wall.value < wanted.wall - _EVEN:
                words = f"Between the screw hole and {what} there is"
                findings.append(_short(code, wall, wanted.wall, words, "Move them apart."))
    return findings


def _head(figures: ScrewFigures, tilt: float) -> list[Finding]:
    findings = []
    if figures.bare.value > SOME:
        text = f"The countersink breaks out: {figures.bare.value:.0%} of its rim has no material to press on."
        advice = (
            "Lean the screw less, or move it inward."
            if tilt > 0.0
            else "Move the screw inward, or lean it square to the surface."
        )
        findings.append(
            Finding(
                "countersink_broken",
                "error",
                text,
                100.0 * figures.bare.value,
                0.0,
                "%",
                point(figures.bare.place),
                advice,
            )
        )
    if figures.on_grip.value > MOST:
        text = "The screw's head lies on what faces up the wall, where hands hold on."
        advice = "Put the screw to the side of the grip, and feel the pocket's rim."
        share = 100.0 * figures.on_grip.value
        findings.append(
            Finding("screw_on_grip", "note", text, share, None, "%", point(figures.on_grip.place), advice)
        )
    return findings


def _driver(figures: ScrewFigures, wanted: ScrewWanted) -> list[Finding]:
    blocked, deep = figures.blocked, figures.depth
    findings = []
    if deep.value > BIT:
        wide = figures.shape.head_diameter
        text = f"The screw's head lies {deep.value:.0f} mm deep in a pocket {wide:.1f} mm wide."
        advice = "Have a bit as long at hand, or allow more under the head, for a longer screw."
        findings.append(Finding("deep_head", "note", text, deep.value, BIT, "mm", point(deep.place), advice))
    if blocked is None:
        return findings
    text = (
        f"The driver is blocked: {blocked.value:.0f} mm above the head the hold is within "
        f"{wanted.driver / 2:g} mm of the screw's axis."
    )
    advice = "Move the screw out from under the overhang, or lean it outward."
    place = point(blocked.place)
    return [*findings, Finding("driver_blocked", "error", text, blocked.value, None, "mm", place, advice)]


def _pieces(cut: ScrewCut) -> list[Finding]:
    findings = []
    for volume, middle in cut.dropped:
        text = f"The screw hole cut a sliver of {volume:.2g} mm3 loose; it was dropped."
        advice = "Look at the place: the wall there was very thin."
        findings.append(
            Finding("sliver_left", "warning", text, volume, unit="mm3", where=point(middle), advice=advice)
        )
    for volume, middle in cut.loose:
        text = f"The screw hole parts the hold: a piece of {volume / 1000:.2g} cm3 came loose."
        advice = "Move the screw, or take a smaller one."
        findings.append(
            Finding("hold_parted", "error", text, volume, unit="mm3", where=point(middle), advice=advice)
        )
    return findings


def _short(code: str, least: Least, limit: float, words: str, advice: str) -> Finding:
    severity: Severity = "error" if least.value < GRAVE * limit else "warning"
    text = f"{words} only {max(least.value, 0.0):.1f} mm; {limit:g} mm are wanted."
    return _met(code, severity, text, least, limit, advice)


def _met(code: str, severity: Severity, text: str, least: Least, limit: float, advice: str) -> Finding:
    return Finding(code, severity, text, least.value, limit, "mm", point(least.place), advice)
