"""Whether a hold stays on its wall as it is bolted: one finding says it, others what comes with it."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import counted, limit_of, new_finding
from holdwright.joint.card.joint_card import JointCard
from holdwright.joint.figure import Figure


def verdict(findings: Sequence[Finding]) -> Finding | None:
    """Give the finding that decides: the first error, else how the hold holds; None where neither is told."""
    grave = next((each for each in findings if each.severity == "error"), None)
    return grave or next((each for each in findings if each.code in HOLDS), None)


NEARLY = 0.995
"""A safety from which on two digits say that it is enough."""

HOLDS = ("holds_by_friction", "holds_with_screws", "joint_not_judged")
"""Codes of which one is told of each joint that does not fail."""


def holding_findings(card: JointCard) -> Iterator[Finding]:
    """Judge a hold by the card of any of its bores: what holds is of all bolts together."""
    load, where = card.conditions.load_name, _foot(card)
    tips, spin = card.overturning, card.spin
    if not tips.within_limit:
        yield new_finding("does_not_hold", tips.value, tips.limit, where, advice=_firmer(card), load=load)
    elif not spin.within_limit:
        yield _short_of_friction(card)
    elif card.existing_screws:
        screws, code = counted(len(card.existing_screws), "wood screw"), "holds_with_screws:present"
        yield new_finding(code, spin.value, spin.limit, where, load=load, low=_least(spin), screws=screws)
    else:
        locked = bool(card.bolt_torque.value) and not card.friction_torque.within_limit
        code = "holds_by_friction:locked" if locked else "holds_by_friction"
        yield new_finding(code, spin.value, spin.limit, where, load=load, low=_least(spin))
    if spin.within_limit and _least(spin) < NEARLY:
        yield new_finding("may_turn", _least(spin), spin.limit, where, load=load, advice=_surer(card))
    if may_rock(card):
        yield new_finding("may_rock", _least(tips), tips.limit, where, load=load)
    by_friction = card.friction_torque.within_limit
    slips = not card.slip.within_limit or (by_friction and not card.together.within_limit)
    if slips and not card.existing_screws:
        yield new_finding("hold_slips", card.together.value, card.together.limit, where, load=load)
    if not card.lift.within_limit:
        relieve = "" if card.relieved else "a relieved back, "
        yield new_finding("edge_lifts", card.lift.value, card.lift.limit, where, load=load, relieve=relieve)


def may_rock(card: JointCard) -> bool:
    """Tell whether it is held on its far edge by what is likely, but not with the least preload."""
    tips = card.overturning
    return tips.within_limit and _least(tips) < NEARLY


def _short_of_friction(card: JointCard) -> Finding:
    """Say how many wood screws keep the hold from turning and where, or that none can."""
    count, present = card.screws.value, len(card.existing_screws)
    figures: dict[str, Any] = {
        "load": card.conditions.load_name,
        "friction": card.friction_torque.value,
        "applied": card.applied_torque.value,
        "tighter": _tighter(card),
    }
    if count is None:
        room = counted(len(card.further_screws), "wood screw") if card.further_screws else "no wood screw"
        return new_finding(
            "does_not_hold:turns", card.spin.value, card.spin.limit, _foot(card), room=room, **figures
        )
    screws = card.further_screws[: int(count)]
    return new_finding(
        "holds_with_screws",
        present + count,
        where=(screws[0].x, screws[0].y, 0.0),
        severity="warning" if present + count > limit_of("holds_with_screws") else None,
        screws=counted(int(count), "more wood screw" if present else "wood screw"),
        row=card.conditions.wood_screw.name,
        length=max(each.length for each in screws),
        holes=counted(int(count), "screw hole"),
        places=" and ".join(f"{each.x:.0f}, {each.y:.0f}" for each in screws[:2])
        + (f" mm and {len(screws) - 2} more" if len(screws) > 2 else " mm"),
        **figures,
    )


def _tighter(card: JointCard) -> str:
    """Say at which torque no further screw is needed, if there is one above the present."""
    window = card.window.range
    if window is None or window[0] <= card.conditions.torque:
        return ""
    how = "with those it has" if card.existing_screws else "by friction"
    return f" At {window[0]:.0f} to {window[1]:.0f} N m it holds {how}."


def _surer(card: JointCard) -> str:
    """Say how many wood screws more keep a hold from turning with the least friction too."""
    most = card.screws.range.high if card.screws.range else 1.0
    if not most or not math.isfinite(most):
        return "Relieve the back, make it bigger, or bore nearer to where the hold is loaded."
    further = "more " if card.existing_screws else ""
    keeps = "keeps" if most == 1.0 else "keep"
    return f"{counted(round(most), f'{further}wood screw')} {keeps} it from turning then too."


def _firmer(card: JointCard) -> str:
    """Say what keeps a hold from coming off about its far edge."""
    window = card.window.range_with_screws
    longer = "make the back longer below the bolt, or place the bore higher."
    if window is None:
        return f"No torque is enough and within what seat and bolt bear: {longer}"
    return f"Tighten to {window[0]:.0f} to {window[1]:.0f} N m, or {longer}"


def _least(figure: Figure) -> float:
    """Give the unsafe end of a safety."""
    return figure.range.low if figure.range else figure.value or 0.0


def _foot(card: JointCard) -> tuple[float, float, float]:
    return card.bore.x, card.bore.y, 0.0
