"""What is said of a whole set: a status for each hold, totals, shopping list and plates, as plain values."""

from collections import Counter
from dataclasses import dataclass, field
from typing import Any, Final

from holdwright import __version__
from holdwright.joint.cautions import CAUTIONS
from holdwright.pipeline.recipes.set_file import HoldSet
from holdwright.sets.plates import PlatesLaid
from holdwright.sets.run_set import MadeHold, severities
from holdwright.sets.set_totals import estimate_of
from holdwright.sets.shopping_list import ShoppingItem

FORMAT: Final = 1
"""Raised when the meaning of a key changes."""


@dataclass(frozen=True, eq=False)
class FinishedSet:
    """A set after its holds were made."""

    of: HoldSet
    made: tuple[MadeHold, ...]
    """In the order of the set's file."""
    shopping: tuple[ShoppingItem, ...]
    plates: PlatesLaid
    key: str = ""
    """Equal where all its holds, counts and plates are."""
    totals: dict[str, dict[str, float]] = field(default_factory=dict)
    """Of all copies of all finished holds: low, likely, high by name."""


def plain_set(finished: FinishedSet) -> dict[str, Any]:
    """Give the report as JSON values."""
    return {
        "format": FORMAT,
        "program": f"Holdwright {__version__}",
        "key": finished.key,
        "set": finished.of.name,
        "statuses": dict(Counter(each.status for each in finished.made)),
        "holds": [_plain_hold(each, finished) for each in finished.made],
        "totals": {
            "copies": sum(each.hold.count for each in finished.made if each.report),
            **finished.totals,
        },
        "shopping": [
            {"kind": item.kind, "item": item.item, "quantity": round(item.quantity, 4), "unit": item.unit}
            for item in finished.shopping
        ],
        "plates": [plate.plain for plate in finished.plates.plates],
        "cautions": list(CAUTIONS),
    }


def _plain_hold(made: MadeHold, finished: FinishedSet) -> dict[str, Any]:
    hold, report = made.hold, made.report
    plain = {
        "name": hold.name,
        "status": made.status,
        "sculpt": str(hold.sculpt),
        "recipe": hold.recipe,
        "mirror": hold.variant.mirror,
        "size": hold.size_name or None,
        "count": hold.count,
        "message": made.message,
        "seconds": round(made.seconds, 2),
    }
    if report:
        plain |= {
            "key": report["key"],
            "finished": report["finished"],
            "estimate": estimate_of(made),
            "findings": {
                **{severity: severities(made)[severity] for severity in ("error", "warning")},
                "note": report["notes"],
            },
            "plates": [
                plate.file
                for plate in finished.plates.plates
                if any(each.name == hold.name for each in plate.placed)
            ],
            "on_no_plate": finished.plates.left_out.get(hold.name, ""),
        }
    return plain
