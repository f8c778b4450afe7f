"""Remembers outcomes by key, within a budget of bytes."""

from collections import OrderedDict
from typing import Final

from holdwright.operations.base import OperationCache, Outcome
from holdwright.pipeline.replaying.store import Store

MEMORY_BYTES: Final = 2_000_000_000
"""Budget to start with."""

_BARE_OUTCOME: Final = 2_000


class Cache:
    """Outcomes in memory, the least recently used dropped first; behind it, where given, a folder.

    Parameters
    ----------
    budget
        Bytes the solids remembered may take, as they weigh themselves.
    store
        Holds what memory does not; every outcome goes there too.

    Attributes
    ----------
    of_operations
        What operations keep for themselves; it counts in the budget, and outcomes make room for it.
    """

    def __init__(self, budget: int = MEMORY_BYTES, store: Store | None = None) -> None:
        self._budget = budget
        self._store = store
        self._outcomes: OrderedDict[str, Outcome] = OrderedDict()
        self.of_operations = OperationCache()
        self._weight = 0

    @property
    def weight(self) -> int:
        """Bytes remembered in memory."""
        return self._weight + self.of_operations.weight

    def get(self, key: str) -> Outcome | None:
        """Give the outcome of that key, or None."""
        outcome = self._outcomes.get(key)
        if outcome is not None:
            self._outcomes.move_to_end(key)
            return outcome
        if self._store is None:
            return None
        outcome = self._store.get(key)
        if outcome is not None:
            self._remember(key, outcome)
        return outcome

    def put(self, key: str, outcome: Outcome) -> None:
        """Remember an outcome; one that outweighs the whole budget only in the folder."""
        self._remember(key, outcome)
        if self._store is not None:
            self._store.put(key, outcome)

    def _remember(self, key: str, outcome: Outcome) -> None:
        if key in self._outcomes:
            self._weight -= weight_of(self._outcomes.pop(key))
        weight = weight_of(outcome)
        if weight > self._budget:
            return
        self._outcomes[key] = outcome
        self._weight += weight
        while self.weight > self._budget and len(self._outcomes) > 1:
            _, dropped = self._outcomes.popitem(last=False)
            self._weight -= weight_of(dropped)


def weight_of(outcome: Outcome) -> int:
    """Give the bytes an outcome takes, in the main its solids'."""
    hold = outcome.hold
    pieces = hold.sculpt.pieces if hold.sculpt else ()
    raw = sum(piece.vertices.nbytes + piece.triangles.nbytes for piece in pieces)
    return _BARE_OUTCOME + raw + sum(solid.weight for solid in hold.solids.values())
