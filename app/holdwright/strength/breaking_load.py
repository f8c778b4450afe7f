"""From the stress of a hold to the load at which it breaks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats, Indices
from holdwright.strength.cell_grid import Singles
from holdwright.strength.measure import Exceeded, exceeded
from holdwright.strength.printed_parts import DIRECTIONS, PrintedPart
from holdwright.strength.strength_index import Borne, strength_used

LEVELS: Final = ("low", "likely", "high")
"""Of the tables' ranges."""

MOST: Final = 1e3
"""No load is looked for beyond so many times the one computed."""

_KEPT: Final = 4000
"""Samples of each measure that may be among the hottest; those of 200 mm3 are a few hundred."""


@dataclass(frozen=True, eq=False)
class CaseStress:
    """Stress under one load where that may be greatest; not where washers and the load itself press."""

    places: Floats
    """(n, 3) mm."""
    volumes: Floats
    """(n,) mm3."""
    region: Indices
    """(n,) number of the region each lies in."""
    tightened: Singles
    loaded: Singles
    """tightened, loaded: (n, 6) MPa without the load and with it."""

    @classmethod
    def of(
        cls,
        places: Floats,
        volumes: Floats,
        region: Indices,
        tightened: Singles,
        loaded: Singles,
        borne: Borne,
    ) -> "CaseStress":
        """Leave out what cannot be among the hottest, however large the load and however printed."""
        kept = np.zeros(len(volumes), dtype=np.bool_)
        counted = np.flatnonzero(volumes > 0.0)
        least = max(len(counted) - _KEPT, 0)
        here = Borne(borne.along[counted], borne.across[counted])
        for stress in (loaded[counted], loaded[counted] - tightened[counted]):
            for direction in DIRECTIONS.values():
                used, _ = strength_used(stress, here, np.array(direction))
                kept[counted[np.argpartition(used, least)[least:]]] = True
        return cls(places[kept], volumes[kept], region[kept], tightened[kept], loaded[kept])

    def used(self, times: float, borne: Borne, direction: Floats) -> tuple[Exceeded, bool]:
        """Give the share of its strength that the hottest volume uses under so many times the load.

        Tells also whether layers part there. Stress grows in proportion to the load from what tightening has
        left; that contact with the wall changes meanwhile is not looked at.
        """
        stress = self.tightened + np.float32(times) * (self.loaded - self.tightened)
        used, parted = strength_used(stress, borne, direction)
        found = exceeded(used, self.volumes, self.places)
        weights = self.volumes[found.hottest]
        return found, bool(weights @ parted[found.hottest] > 0.5 * weights.sum())

    def breaks_at(self, borne: Borne, direction: Floats) -> float:
        """Give how many times the load breaks it: 200 mm3 then use all of their strength."""

        def share(times: float) -> float:
            return self.used(times, borne, direction)[0].value

        low, high = 0.0, 1.0
        while share(high) < 1.0:
            low, high = high, 2.0 * high
            if high > MOST:
                return MOST
        for _ in range(12):
            middle = (low + high) / 2.0
            low, high = (middle, high) if share(middle) < 1.0 else (low, middle)
        return (low + high) / 2.0


def borne_by(
    regions: Sequence[str], region: Indices, parts: Mapping[str, PrintedPart], level: str = "likely"
) -> Borne:
    """Give what is borne at places (n,) in regions, at the low, likely or high end of the tables."""
    along, across = np.empty(len(regions)), np.empty(len(regions))
    for number, name in enumerate(regions):
        part, kind = name.rsplit(" ", 1)
        printed = parts[part]
        share = getattr(printed.infill_strength, level) if kind == "infill" else 1.0
        end = LEVELS.index(level)
        along[number] = share * printed.strength.along[end]
        across[number] = share * printed.strength.across[end]
    return Borne(along[region], across[region])
