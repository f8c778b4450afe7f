"""Solids of steps, kept to be shown again."""

from collections import OrderedDict
from collections.abc import Mapping
from typing import Final

from holdwright.pipeline.views.display_results import ShownSolid

BUDGET: Final = 1_000_000_000


class SolidCache:
    """Solids by key, in `nbytes` altogether; those least recently used go first."""

    def __init__(self, budget: int = BUDGET) -> None:
        self._budget = budget
        self._solids: OrderedDict[str, Mapping[str, ShownSolid]] = OrderedDict()
        self.nbytes = 0

    @property
    def keys(self) -> frozenset[str]:
        """Keys of all that is stored."""
        return frozenset(self._solids)

    def get(self, key: str) -> Mapping[str, ShownSolid]:
        """Give the solids of a key; empty where they are not stored."""
        if key not in self._solids:
            return {}
        self._solids.move_to_end(key)
        return self._solids[key]

    def put(self, key: str, solids: Mapping[str, ShownSolid]) -> None:
        """Keep the solids of a key. The latest always stay, whatever their size: they are on screen."""
        self.nbytes -= _weight(self._solids.pop(key, {}))
        self._solids[key] = solids
        self.nbytes += _weight(solids)
        while self.nbytes > self._budget and len(self._solids) > 1:
            _, dropped = self._solids.popitem(last=False)
            self.nbytes -= _weight(dropped)


def _weight(solids: Mapping[str, ShownSolid]) -> int:
    return sum(solid.nbytes for solid in solids.values())
