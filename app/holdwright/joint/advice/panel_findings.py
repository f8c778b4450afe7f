"""What deserves a look behind the panel: the T-nut's flange and pull, and the bolt's thread."""

import math
from collections.abc import Iterator

from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import new_finding
from holdwright.joint.card.joint_card import JointCard
from holdwright.joint.figure import Figure
from holdwright.ranges import two_digits


def panel_findings(card: JointCard) -> Iterator[Finding]:
    """Judge what the panel bears, and whether the bolt reaches its thread in the worst case."""
    nut, panel, where = card.hardware.t_nut, card.conditions.panel, card.seat_point
    pressure, pull = card.flange_pressure, card.pull_through
    bolt, screw = card.bolt, card.hardware.screw
    if not pressure.surely_within_limit:
        bears = panel.bears(nut.flange)
        crushes = (pressure.value or 0.0) > bears.high
        yield new_finding(
            "flange_overloaded",
            _most(pressure),
            pressure.limit,
            where,
            severity="error" if crushes else None if pressure.within_limit else "warning",
            torque=card.conditions.torque,
            nut=nut.name,
            panel=panel.name,
            bears=_torque_for(card, pressure, bears.likely),
        )
    if not pull.surely_within_limit:
        yield new_finding(
            "panel_punched",
            _most(pull),
            pull.limit,
            where,
            severity=None if pull.within_limit else "error",
            nut=nut.name,
            panel=panel.name,
            pull=two_digits(_most(pull)),
            borne=two_digits(pull.limit or 0.0),
            bears=_torque_for(card, pull, pull.limit or 0.0),
        )
    if bolt.length is None:
        longest = screw.lengths[-1]
        yield new_finding("no_bolt_long_enough", where=where, bolt=bolt, screw=screw.name, longest=longest)
    elif bolt.too_long > 0.0:
        out = bolt.too_long + card.conditions.behind
        yield new_finding("bolt_too_long", where=where, bolt=bolt, name=card.bolt_name, stand_out=out)
    if bolt.length is not None and not bolt.engaged:
        yield new_finding("short_engagement", where=where, bolt=bolt)


def _torque_for(card: JointCard, figure: Figure, limit: float) -> float:
    """Give the torque up to which a figure's unsafe end keeps to a limit, N m, in tenths rounded down.

    It grows evenly with the clamp, though not from nothing: a load pulls besides.
    """
    clamp, force = card.preload, figure.range
    if force is None or force.high <= force.low or clamp.high <= clamp.low:
        most = limit / _most(figure) * clamp.high
    else:
        most = clamp.high - (force.high - limit) / (force.high - force.low) * (clamp.high - clamp.low)
    return max(math.floor(10.0 * card.conditions.torque * most / clamp.high) / 10.0, 0.0)


def _most(figure: Figure) -> float:
    return figure.range.high if figure.range else figure.value or 0.0
