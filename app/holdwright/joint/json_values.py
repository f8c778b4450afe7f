"""A joint card as plain JSON values."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from holdwright.joint.cautions import CAUTIONS
from holdwright.joint.figure import Figure
from holdwright.joint.joint_card import JointCard
from holdwright.joint.joint_shape import JointShape

_FIGURES = {
    "seat_pressure_MPa": "seat_pressure",
    "friction_radius_mm": "friction_radius",
    "friction_torque_Nm": "friction_torque",
    "applied_torque_Nm": "applied_torque",
    "spin_safety": "spin",
    "slip_safety": "slip",
    "lift_safety": "lift",
    "tip_safety": "overturning",
    "bolt_tension_N": "bolt_tension",
    "screws_needed": "screws",
    "screw_torque_Nm": "screw_torque",
}


_KEYS = {"overturning": "tip"}
"""Torques that go by another key than the program's own word."""


def plain_card(card: JointCard) -> dict[str, Any]:
    """Give a card's figures by name, with `limits` and `sources` by the same names beside them."""
    figures: dict[str, Figure] = {key: getattr(card, name) for key, name in _FIGURES.items()}
    hardware, length = card.hardware, card.bolt
    window = card.window
    return {
        "at_mm": [round(card.bore.x, 3), round(card.bore.y, 3)],
        "tilt_deg": _number(card.bore.tilt),
        "cone_angle_deg": card.bore.cone_angle,
        "slot_mm": _number(card.bore.slot),
        "screw": hardware.screw.name,
        "washer": hardware.washer.name if hardware.washer else None,
        "t_nut": hardware.t_nut.name,
        "strength_class": hardware.strength.name,
        "preload_N": [_number(card.preload.low), _number(card.preload.high)],
        "residual_preload_N": _number(card.preload.residual),
        **{key: _number(figure.value) for key, figure in figures.items()},
        "screw_distance_mm": _number(card.screw_distance),
        "screws_there": [
            {
                "at_mm": [round(each.hole.x, 3), round(each.hole.y, 3)],
                "screw": each.hole.screw,
                "lever_mm": _number(each.lever),
                "capacity_N": _number(each.capacity),
            }
            for each in card.screws_there
        ],
        "bolt": {
            "name": card.bolt_name,
            "length_mm": length.length,
            "engagement_mm": _number(length.engagement),
            "shortest_mm": _number(length.shortest),
            "too_long_mm": _number(length.too_long),
        },
        "torque_window_Nm": _pair(window.range),
        "torque_window_with_screws_Nm": _pair(window.range_with_screws),
        "torque_enough_Nm": _torques(window.enough),
        "torque_too_much_Nm": _torques(window.too_much),
        "load_cases": [
            {
                "name": each.case.name,
                "factor": each.case.factor,
                "spin_safety": _number(each.spin),
                "slip_safety": _number(each.slip),
                "lift_safety": _number(each.lift),
            }
            for each in card.cases
        ],
        "limits": _limits(card, figures),
        "sources": _sources(card, figures),
    }


def _limits(card: JointCard, figures: dict[str, Figure]) -> dict[str, Any]:
    limits: dict[str, Any] = {
        key: {figure.sense.replace(" ", "_"): _number(figure.limit)}
        for key, figure in figures.items()
        if figure.limit is not None
    }
    limits["preload_N"] = {"at_most": _number(card.hardware.proof)}
    limits["torque_window_Nm"] = {
        "enough": _torques(card.window.enough),
        "too_much": _torques(card.window.too_much),
    }
    limits["bolt"] = {"engagement_mm": {"at_least": _number(card.bolt.wanted)}}
    return limits


def _sources(card: JointCard, figures: dict[str, Figure]) -> dict[str, str]:
    factor, screw, nut = card.conditions.nut_factor, card.hardware.screw, card.hardware.t_nut
    sources = {key: figure.source for key, figure in figures.items()}
    sources["preload_N"] = (
        f"T = K F d, Shigley, Mechanical Engineering Design, equation 8-27; {factor.source} [{factor.tag}]; "
        "limit by ISO 898-1, proof stress times stress area"
    )
    sources["bolt"] = (
        "seat, washer, panel less the T-nut's barrel, and 0.8 diameters of thread (common practice); "
        f"{screw.source} [{screw.tag}]; {nut.source} [{nut.tag}]"
    )
    sources["torque_window_Nm"] = (
        "from enough not to turn or tip over the far edge, to what seat and bolt bear"
    )
    return sources


def _number(value: float | None) -> float | None:
    """Round for reading; endless is told as None, which JSON can write."""
    if value is None or not math.isfinite(value):
        return None
    return value if isinstance(value, int) else float(f"{value:.6g}")


def _torques(torques: Mapping[str, float]) -> dict[str, float | None]:
    return {_KEYS.get(why, why): _number(torque) for why, torque in torques.items()}


def _pair(pair: tuple[float, float] | None) -> list[float | None] | None:
    return None if pair is None else [_number(pair[0]), _number(pair[1])]


def plain_joint(shape: JointShape, cards: Sequence[JointCard]) -> dict[str, Any]:
    """Give the conditions, the hold's shape and all cards, with the cautions."""
    wanted, contact, worst = cards[0].conditions, shape.contact, shape.reach
    return {
        "conditions": {
            "torque_Nm": wanted.torque,
            "material": wanted.material.name,
            "panel": wanted.panel.name,
            "panel_mm": wanted.panel.thickness,
            "load_kg": wanted.mass,
            "factor": wanted.factor,
            "overhang_deg": wanted.overhang,
            "along_N": _number(wanted.load.along),
            "outward_N": _number(wanted.load.outward),
            "friction": [wanted.friction.low, wanted.friction.high],
            "nut_factor": [wanted.nut_factor.low, wanted.nut_factor.high],
        },
        "contact": {
            "area_mm2": _number(contact.area),
            "pressed_share": _number(contact.pressure.share),
            "centre_from_bolts_mm": [_number(float(value)) for value in contact.centre],
            "even_friction_radius_mm": _number(contact.even_radius),
        },
        "worst_points": {
            "arm_mm": _number(worst.arm),
            "arm_at_mm": [_number(float(value)) for value in worst.arm_point],
            "height_mm": _number(worst.height),
            "height_at_mm": [_number(float(value)) for value in worst.height_point],
        },
        "bores": [plain_card(card) for card in cards],
        "cautions": list(CAUTIONS),
    }
