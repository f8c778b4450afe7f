"""A hold's strength as plain JSON values."""

from dataclasses import asdict
from math import isfinite
from typing import Any

from holdwright.ranges import Range
from holdwright.strength.strength_result import LIMITS, CaseStrength, Change, StrengthResult


def plain_strength(result: StrengthResult) -> dict[str, Any]:
    """Give figures and words: N, mm, MPa; ratios are by today's."""
    return {
        "limits": LIMITS,
        "breaks_at_n": _rounded(result.worst.told),
        "near_only": result.worst.limp,
        "cases": [_case(each) for each in result.cases],
        "changes": [_change(each) for each in result.changes],
        "beam_breaks_at_n": _figure(result.second_load),
        "beam_place_mm": result.second_opinion.place if result.second_opinion else None,
        "cell_mm": result.cell,
        "cells": result.cells,
        "grid_error": result.grid_error,
        "thin_share": _figure(result.thin),
        "printed": list(result.printed),
        "assumptions": list(result.assumptions),
        "sources": list(result.sources),
    }


def _case(case: CaseStrength) -> dict[str, Any]:
    return {
        "force_n": _figure(case.force),
        "direction": [round(each, 4) for each in case.direction],
        "loaded_at_mm": [round(each, 2) for each in case.loaded_at],
        "strength_used": _figure(case.index),
        "stress_mpa": _figure(case.stress),
        "breaks_at_n": _rounded(case.told),
        "by_tables_n": _rounded(case.breaks_at),
        "place_mm": [round(each, 2) for each in case.place],
        "region": case.region,
        "between_layers": case.between_layers,
        "deflection_mm": _figure(case.deflection),
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        "kind": change.kind,
        "name": change.name,
        "load_ratio": _figure(change.load),
        "deflection_ratio": _figure(change.deflection),
        "solved": change.solved,
        "today": change.today,
        "refused": change.refused,
    }


def _rounded(value: Range) -> dict[str, float | None]:
    return {name: _figure(each) for name, each in asdict(value).items()}


def _figure(value: float | None) -> float | None:
    return float(f"{value:.4g}") if value is not None and isfinite(value) else None
