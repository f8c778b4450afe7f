"""What a set takes from the shop: bolts by length, washers, T-nuts, wood screws, and filament by material."""

import csv
import io
import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from holdwright.sets.run_set import MadeHold

SPOOL_KG: Final = 1.0
"""Filament on a spool (common practice, no source)."""

COLUMNS: Final = ("kind", "item", "quantity", "unit", "note")


@dataclass(frozen=True)
class ShoppingItem:
    """A line of the list."""

    kind: str
    item: str
    quantity: float
    unit: str
    note: str = ""

    @property
    def written(self) -> tuple[str, ...]:
        """By `COLUMNS`."""
        quantity = f"{self.quantity:.3f}" if self.unit == "kg" else f"{self.quantity:.0f}"
        return self.kind, self.item, quantity, self.unit, self.note


def shopping_list(made: Iterable[MadeHold]) -> tuple[ShoppingItem, ...]:
    """Count what all finished holds take, each as often as it is wanted."""
    pieces: Counter[tuple[str, str, str]] = Counter()
    likely: dict[str, float] = defaultdict(float)
    high: dict[str, float] = defaultdict(float)
    for each in made:
        for line in _hardware(each.report):
            pieces[line] += each.hold.count
        for material, mass in _filament(each.report):
            likely[material] += mass["likely"] * each.hold.count
            high[material] += mass["high"] * each.hold.count
    kinds = ("bolt", "washer", "T-nut", "wood screw")
    items = [
        ShoppingItem(kind, item, number, "pieces", note)
        for (kind, item, note), number in sorted(
            pieces.items(), key=lambda line: (kinds.index(line[0][0]), line[0])
        )
    ]
    for material in sorted(likely):
        most = high[material] / 1000.0
        spools = math.ceil(most / SPOOL_KG)
        note = f"up to {most:.2f} kg; {spools} spool{'s' * (spools != 1)} of {SPOOL_KG:g} kg"
        items.append(ShoppingItem("filament", material, likely[material] / 1000.0, "kg", note))
    return tuple(items)


def shopping_csv(items: Sequence[ShoppingItem]) -> bytes:
    """Write the list as CSV (RFC 4180) in UTF-8."""
    stream = io.StringIO()
    writer = csv.writer(stream)
    writer.writerow(COLUMNS)
    writer.writerows(item.written for item in items)
    return stream.getvalue().encode()


def _hardware(report: dict[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Give kind, item and note of every piece of hardware of one hold."""
    if not report:
        return
    joint = report["joint"]
    if joint is None:
        for bore in report["bores"]:
            yield "bolt", bore["screw"], "length by hand: its joint could not be judged"
            if bore["washer"]:
                yield "washer", bore["washer"], ""
        return
    for bore in joint["bores"]:
        yield "bolt", bore["bolt"]["name"], ""
        if bore["washer"]:
            yield "washer", bore["washer"], ""
        yield "T-nut", bore["t_nut"], "on the wall, where there is none yet"
    screws = joint["bores"][0]  # they keep the hold from turning, whichever bore is asked
    for screw in (*screws["screws_there"], *screws["screws_to_set"]):
        yield "wood screw", f"{screw['screw']}, {screw['length_mm']:g} mm", ""


def _filament(report: dict[str, Any]) -> Iterator[tuple[str, dict[str, float]]]:
    """Give material and mass (g; low, likely, high) of every part of one hold."""
    if not report:
        return
    settings = report["print"].get("settings", {})
    for part in ("shell", "core", "whole"):
        if estimate := report["print"].get(part):
            yield settings["core_material" if part == "core" else "shell_material"], estimate["mass_g"]
