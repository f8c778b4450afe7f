"""A joint card's figures, each with its limit in words."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from holdwright.joint.advice.holding_findings import may_rock
from holdwright.joint.card.joint_card import JointCard
from holdwright.joint.fasteners.bolt_length import TOLERANCES
from holdwright.joint.figure import Figure, sources
from holdwright.ranges import two_digits


@dataclass(frozen=True)
class FigureText:
    """One figure as it is read."""

    name: str
    text: str
    """name and text: what it is, and the figure with its unit."""
    limit: str
    """What it is held against, in words."""
    source: str
    """How it was reckoned, and from which tables."""
    within_limit: bool = True
    """Whether it is within its limit."""
    decides: bool = True
    """Whether being outside of it speaks against the joint; else it is worth knowing only."""


LEADING = ("turning", "overturns", "seat pressure")
"""How the names of the figures end that decide most often."""


def leading_first(lines: Sequence[FigureText]) -> tuple[list[FigureText], list[FigureText]]:
    """Part the figures that decide most often, one of each, from the others."""
    first = []
    for name in LEADING:
        alike = [line for line in lines if line.name.lower().endswith(name)]
        first += [next((line for line in alike if not line.within_limit), alike[0])] if alike else []
    return first, [line for line in lines if line not in first]


def names_in(card: JointCard) -> tuple[str, ...]:
    """Give what is bought by name, the bolt with its length as the figures write it."""
    hardware, conditions = card.hardware, card.conditions
    bolt = f"{hardware.screw.thread} x {_bolt_length(card)}" if card.bolt.length is not None else ""
    rows = (hardware.screw, hardware.t_nut, conditions.wood_screw, conditions.panel, conditions.material)
    return (bolt, card.bolt_name, *(row.name for row in rows))


def card_lines(cards: Sequence[JointCard]) -> tuple[FigureText, ...]:
    """Write all figures: those of the hold, then those of each bolt."""
    lines = list(_hold_lines(cards[0]))
    for number, card in enumerate(cards, start=1):
        before = f"Bolt {number}: " if len(cards) > 1 else ""
        lines += [
            replace(line, name=before + line.name if before else line.name.capitalize())
            for line in _bolt_lines(card)
        ]
    return tuple(lines)


def _hold_lines(card: JointCard) -> Iterator[FigureText]:
    screws = f" and its wood screws {card.screw_torque.value:.0f}" if card.existing_screws else ""
    friction, applied = card.friction_torque.value, card.applied_torque.value
    spin = f"friction holds {friction:.0f}{screws} N m against {applied:.0f}"
    spin += ", the bolts lock each other" if card.bolt_torque.value else ""
    spin += ", wood screws the rest" if card.screws.value else ""
    turning = _safety("Against turning", card.spin, spin)
    yield replace(turning, within_limit=turning.within_limit or bool(card.screws.value))
    yield _other_loads(card)
    for name, figure, words in (
        ("Against slipping", card.slip, "beyond it the bolt's shank bears"),
        ("Turning and slipping at once", card.together, "by friction alone"),
        ("Until an edge lifts", card.lift, "beyond it the hold rocks and works loose"),
    ):
        yield replace(_safety(name, figure, words), decides=False)
    tips = _safety("Until it overturns", card.overturning, "beyond it the hold hangs on its bolt")
    yield replace(tips, within_limit=False, decides=False) if may_rock(card) else tips
    if card.existing_screws:
        yield _screws_there(card)
    count, source = card.screws.value, card.screws.source
    if count is None:
        yield FigureText("Wood screws", "no room", "needed against turning", source, within_limit=False)
    elif count:
        to_set = card.further_screws[: int(count)]
        levers = ", ".join(f"{each.lever:.0f}" for each in to_set)
        length = max(each.length for each in to_set)
        where = f"{to_set[0].row.name}, {length:g} mm long, {levers} mm from the bolt"
        where += f"; {len(card.further_screws)} have room"
        yield FigureText(
            "More wood screws" if card.existing_screws else "Wood screws", f"{count:g}", where, source
        )
    elif not card.existing_screws:
        locked = "friction and the bolts keep" if card.bolt_torque.value else "friction keeps"
        yield FigureText("Wood screws", "none", f"{locked} it from turning", source)
    radius, mean = card.friction_radius, "mean distance of the pressure from the bolt"
    yield FigureText("Friction radius", f"{two_digits(radius.value or 0.0)} mm", mean, radius.source)


def _other_loads(card: JointCard) -> FigureText:
    """Compare how the load cases turn it."""
    safeties = [held.spin.likely for _, held in card.cases]
    mass = card.conditions.mass
    cases = ", ".join(
        f"{case.name} ({case.factor:g} x {case.mass or mass:g} kg) {two_digits(held.spin.likely)}"
        for case, held in card.cases
    )
    text = f"{two_digits(min(safeties))} to {two_digits(max(safeties))}"
    return FigureText("Turning, other loads", text, cases, sources(*(case for case, _ in card.cases)))


def _screws_there(card: JointCard) -> FigureText:
    levers = ", ".join(f"{each.lever:.0f}" for each in card.existing_screws)
    rows = " and ".join(dict.fromkeys(each.row.name for each in card.existing_screws))
    carry = f"{rows}, {levers} mm from the bolt; they carry {card.screw_torque.value:.1f} N m"
    return FigureText("Wood screws present", f"{len(card.existing_screws)}", carry, card.screw_torque.source)


def _safety(name: str, figure: Figure, words: str) -> FigureText:
    value = figure.value if figure.value is not None else math.inf
    text = figure.range.in_words if figure.range else f"{value:.2f}"
    text = text if value < 100.0 else "over 100"
    return _figure(name, text, f"at least {figure.limit:g}; {words}", figure)


def _figure(name: str, text: str, limit: str, figure: Figure) -> FigureText:
    return FigureText(name, text, limit, figure.source, figure.within_limit)


def _stress(name: str, figure: Figure, words: str) -> FigureText:
    text = figure.range.in_words if figure.range else two_digits(figure.value or 0.0)
    return _figure(name, f"{text} MPa", f"at most {two_digits(figure.limit or 0.0)} MPa, {words}", figure)


def _bolt_lines(card: JointCard) -> Iterator[FigureText]:
    yield _window_line(card)
    pressure, tension, preload = card.seat_pressure, card.bolt_tension, card.preload
    peak = card.seat_peak.range.in_words if card.seat_peak.range else ""
    most = f"at most {pressure.limit:.1f} MPa, which {card.conditions.material.name} is taken to bear lasting"
    text = pressure.range.in_words if pressure.range else two_digits(pressure.value or 0.0)
    yield _figure("seat pressure", f"{text} MPa", most, pressure)
    yield _figure(
        "greatest seat pressure",
        f"{peak} MPa",
        "at one spot, where the washer bends under the head: the limit is for the mean",
        card.seat_peak,
    )
    yield _length_line(card)
    most = (
        f"at most {two_digits(tension.limit or 0.0)} N, the proof load of class {card.hardware.strength.name}"
    )
    pull = tension.range.in_words if tension.range else two_digits(tension.value or 0.0)
    yield _figure("bolt tension", f"{pull} N", most, tension)
    yield from _panel_lines(card)
    yield _stress("bolt where the hold slips onto it", card.bolt_bent, "its yield stress, pulled and bent")
    yield from _core_lines(card)
    source = "T = K F d (Shigley, Mechanical Engineering Design, equation 8-27)"
    yield FigureText(
        "preload",
        f"{two_digits(preload.low)} to {two_digits(preload.high)} N",
        f"{preload.residual.in_words} N once the plastic has crept",
        f"{source}; {sources(card.conditions.nut_factor)}",
    )


def _core_lines(card: JointCard) -> Iterator[FigureText]:
    on, share, gap = card.washer_on_core, card.core_share, card.core_gap
    if on.value is not None:
        yield _figure("core under the washer", f"{on.value:.0f} %", f"at least {on.limit:g} %", on)
        text, limit = f"{share.value:.0f} %", "the shell takes the rest"
        yield _figure("seat's load on the core", text, limit, share)
        limit = "0: it stands on the wall; else the shell round it carries it"
        yield _figure("core above the wall", f"{gap.value:.1f} mm", limit, gap)
    if card.plug_shear.value is not None:
        yield _safety("core held by the shell", card.plug_shear, "beyond it the infill round it shears")
    yield _safety("pull through the seat", card.seat_pull_through, "beyond it the washer shears through")


def _panel_lines(card: JointCard) -> Iterator[FigureText]:
    panel, reach, out = card.conditions.panel.name, card.tool_reach, card.stand_out
    for name, figure in (("T-nut's flange", card.flange_pressure), ("T-nut's pull", card.pull_through)):
        text = figure.range.in_words if figure.range else two_digits(figure.value or 0.0)
        most = f"at most {two_digits(figure.limit or 0.0)} {figure.unit}, which {panel} likely bears"
        yield _figure(name, f"{text} {figure.unit}", most, figure)
    if out.range is not None:
        text = f"{out.value:.1f} ({out.range.low:.1f} to {out.range.high:.1f}) mm"
        most = f"behind the panel, where {out.limit:g} mm are free; below 0 it ends within"
        yield _figure("bolt stands out", text, most, out)
    text = f"{card.hardware.screw.key:g} mm, {reach.value:.0f} mm deep"
    yield FigureText("key", text, "from the pocket's mouth to the head", reach.source)


def _window_line(card: JointCard) -> FigureText:
    window, torque = card.window, card.conditions.torque
    source = (
        "From enough not to turn or to tip over the far edge, to what seat, bolt and panel bear, "
        "all by likely figures."
    )
    if (usable := card.usable_torques) is None:
        limit = f"{window.enough[window.governs]:.0f} N m required, {window.most:.1f} N m is the most"
        return FigureText("usable torque", "none", limit, source, within_limit=False)
    low, high = usable
    within = low <= torque <= high
    limit = f"{torque:g} N m is {'within it' if within else 'too little' if torque < low else 'too much'}"
    limit += "" if window.range else ", with the wood screws"
    return FigureText("usable torque", f"{low:.1f} to {high:.1f} N m", limit, source, within)


def _length_line(card: JointCard) -> FigureText:
    length, screw, nut = card.bolt, card.hardware.screw, card.hardware.t_nut
    stack = "Seat, washer, panel less the T-nut's barrel, 0.8 diameters of thread"
    source = f"{stack}; {TOLERANCES}; {sources(screw, nut)}"
    if length.length is None:
        limit = f"{length.shortest:.1f} mm required, the longest has {screw.lengths[-1]:g} mm"
        return FigureText("bolt", "none so long", limit, source, within_limit=False)
    limit = (
        f"{screw.name}; {length.engagement:.1f} mm of thread engaged at worst, {length.required:.1f} required"
    )
    if length.too_long > 0.0:
        limit += f"; {length.too_long:.1f} mm too long for the room behind the panel"
    within = length.engaged and length.too_long <= 0.0
    return FigureText("bolt", f"{screw.thread} x {_bolt_length(card)}", limit, source, within)


def _bolt_length(card: JointCard) -> str:
    """Write the bolt's length as it is ordered."""
    screw = card.hardware.screw
    text = card.bolt_name.removeprefix(screw.name).removeprefix(" x ")
    return f"{text} mm" if screw.profile == "iso" else text
