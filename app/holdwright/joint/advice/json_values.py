"""A joint card as plain JSON values."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

import numpy as np

from holdwright.joint.advice.on_the_wall import SOURCE, wall_practice
from holdwright.joint.card.joint_card import JointCard, pressed_by
from holdwright.joint.card.screws import ScrewHeld
from holdwright.joint.cautions import CAUTIONS
from holdwright.joint.fasteners.bolt_length import TOLERANCES
from holdwright.joint.figure import Figure
from holdwright.joint.holding.joint_shape import JointShape
from holdwright.ranges import Range

_KEYS = {"overturning": "tip"}
"""What goes by another key than the program's own word."""


_BOLT = ("length", "engagement", "shortest", "too_long")


def plain_card(card: JointCard) -> dict[str, Any]:
    """Give a card's figures by name and unit; `ranges`, `limits` and `sources` go by the same names."""
    members = ((field.name, getattr(card, field.name)) for field in fields(card))
    figures = {_key(name, figure): figure for name, figure in members if isinstance(figure, Figure)}
    bore, hardware, bolt, window = card.bore, card.hardware, card.bolt, card.window
    enough = {_KEYS.get(why, why): torque for why, torque in window.enough.items()}
    plain: dict[str, Any] = _rounded(
        {
            "at_mm": (round(bore.x, 3), round(bore.y, 3)),
            "tilt_deg": bore.tilt,
            "cone_angle_deg": bore.cone_angle,
            "slot_mm": bore.slot,
            "screw": hardware.screw.name,
            "key_mm": hardware.screw.key,
            "washer": hardware.washer.name if hardware.washer else None,
            "t_nut": hardware.t_nut.name,
            "strength_class": hardware.strength.name,
            "preload_N": (card.preload.low, card.preload.high),
            "residual_preload_N": card.preload.residual.likely,
            **{key: figure.value for key, figure in figures.items()},
            "screw_distance_mm": card.screw_distance,
            "screws_there": [_screw(each) for each in card.existing_screws],
            "screws_to_set": [_screw(each) for each in card.further_screws[: int(card.screws.value or 0)]],
            "screws_with_room": len(card.further_screws),
            "bolt": {"name": card.bolt_name, **{f"{name}_mm": getattr(bolt, name) for name in _BOLT}},
            "torque_window_Nm": window.range,
            "torque_window_with_screws_Nm": window.range_with_screws,
            "torque_enough_Nm": enough,
            "torque_too_much_Nm": window.too_much,
            "load_cases": [
                {
                    "name": case.name,
                    "mass_kg": case.mass or card.conditions.mass,
                    "factor": case.factor,
                    **{f"{name}_safety": getattr(held, name).likely for name in ("spin", "slip", "lift")},
                }
                for case, held in card.cases
            ],
            "ranges": {
                **{key: _ends(figure.range) for key, figure in figures.items() if figure.range is not None},
                "residual_preload_N": _ends(card.preload.residual),
            },
            "limits": {
                **{
                    key: {figure.sense.replace(" ", "_"): figure.limit}
                    for key, figure in figures.items()
                    if figure.limit is not None
                },
                "preload_N": {"at_most": hardware.proof},
                "torque_window_Nm": {"enough": enough, "too_much": window.too_much},
                "bolt": {"engagement_mm": {"at_least": bolt.required}},
            },
        }
    )
    return {**plain, "sources": _sources(card, figures)}


def _screw(screw: ScrewHeld) -> dict[str, Any]:
    return {
        "at_mm": (round(screw.x, 3), round(screw.y, 3)),
        "screw": screw.row.name,
        "length_mm": screw.length,
        "lever_mm": screw.lever,
        "capacity_N": screw.capacity,
        "mode": screw.shear.mode,
    }


def _ends(values: Range) -> tuple[float, float]:
    return values.low, values.high


def _key(name: str, figure: Figure) -> str:
    """Give a figure's key: its name with its unit, of which a safety has none."""
    unit = "needed" if name == "screws" else figure.unit.replace(" ", "").replace("%", "percent") or "safety"
    return f"{_KEYS.get(name, name)}_{unit}"


def _sources(card: JointCard, figures: Mapping[str, Figure]) -> dict[str, str]:
    factor, screw, nut = card.conditions.nut_factor, card.hardware.screw, card.hardware.t_nut
    return {
        **{key: figure.source for key, figure in figures.items()},
        "preload_N": "T = K F d, Shigley, Mechanical Engineering Design, equation 8-27; "
        f"{factor.source} [{factor.tag}]; limit by ISO 898-1, proof stress times stress area",
        "bolt": "seat, washer, panel less the T-nut's barrel, and 0.8 diameters of thread (common practice); "
        f"{TOLERANCES}; {screw.source} [{screw.tag}]; {nut.source} [{nut.tag}]",
        "torque_window_Nm": "from enough not to turn or tip over the far edge, to what seat and bolt bear",
    }


def _rounded(value: Any) -> Any:
    """Give plain values of numbers to six digits; an endless one is None, which JSON can write."""
    if isinstance(value, Mapping):
        return {key: _rounded(each) for key, each in value.items()}
    if isinstance(value, list | tuple | np.ndarray):
        return [_rounded(each) for each in value]
    if isinstance(value, float):
        return float(f"{value:.6g}") if math.isfinite(value) else None
    return value


def plain_joint(shape: JointShape, cards: Sequence[JointCard]) -> dict[str, Any]:
    """Give the conditions, the hold's shape and all cards, with the cautions."""
    conditions = cards[0].conditions
    contact, worst = (
        pressed_by(shape, [card.hardware for card in cards], conditions).contact,
        conditions.mounted(shape.reach),
    )
    plain: dict[str, Any] = _rounded(
        {
            "conditions": {
                "torque_Nm": conditions.torque,
                "material": conditions.material.name,
                "panel": conditions.panel.name,
                "panel_mm": conditions.panel.thickness,
                "load_kg": conditions.mass,
                "factor": conditions.factor,
                "overhang_deg": conditions.overhang,
                "one_way_up": conditions.one_way_up,
                "along_N": conditions.load.along,
                "outward_N": conditions.load.outward,
                "assumptions": conditions.assumptions,
                "printed_strength": tuple(vars(conditions.sheared).values()),
                "friction": (conditions.friction.low, conditions.friction.high),
                "nut_factor": (conditions.nut_factor.low, conditions.nut_factor.high),
            },
            "contact": {
                "area_mm2": contact.area,
                "pressed_share": contact.pressure.share,
                "centre_from_bolts_mm": contact.centre,
            },
            "worst_points": {
                "arm_mm": worst.arm,
                "arm_at_mm": worst.arm_point,
                "height_mm": worst.height,
                "height_at_mm": worst.height_point,
            },
        }
    )
    practice = [{"title": title, "text": text} for title, text in wall_practice(cards[0])]
    return {
        **plain,
        "bores": [plain_card(card) for card in cards],
        "on_the_wall": {"steps": practice, "source": SOURCE},
        "cautions": list(CAUTIONS),
    }
