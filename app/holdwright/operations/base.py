"""What every operation is."""

import time
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, ClassVar, Generic, TypeVar

from holdwright.catalogue.catalogue import Catalogue
from holdwright.hold.earlier_sculpt import EarlierSculpt
from holdwright.hold.finding import Finding, Point
from holdwright.hold.hold import Hold
from holdwright.hold.piece_account import PieceAccount
from holdwright.parameters.kinds import Parameters
from holdwright.progress import SILENT, Progress

P = TypeVar("P", bound=Parameters)

Upgrade = Callable[[dict[str, Any]], dict[str, Any]]


class Stopwatch:
    """Keeps the seconds that searches took, apart from the cuts they serve."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}

    @contextmanager
    def searching(self, what: str) -> Iterator[None]:
        """Count the time spent inside as a search for `what`."""
        start = time.perf_counter()
        try:
            yield
        finally:
            self.seconds[what] = self.seconds.get(what, 0.0) + time.perf_counter() - start


class OperationCache:
    """What operations store for their next run: of each the latest thing, with what it was made from.

    It holds what is costly to make and depends on a few of a step's parameters only.
    """

    def __init__(self) -> None:
        self._things: dict[str, tuple[object, object, int]] = {}

    @property
    def weight(self) -> int:
        """Bytes that all of it takes."""
        return sum(weight for _, _, weight in self._things.values())

    def get(self, operation: str, made_from: object) -> object:
        """Give what an operation stored, where it was made from the same; None otherwise."""
        before, thing, _ = self._things.get(operation, (None, None, 0))
        return thing if before == made_from else None

    def put(self, operation: str, made_from: object, thing: object, weight: int) -> None:
        """Store a thing of so many bytes in place of the one before."""
        self._things[operation] = (made_from, thing, weight)


@dataclass(frozen=True)
class Run:
    """All the context an operation may use."""

    catalogue: Catalogue
    progress: Progress = SILENT
    stopwatch: Stopwatch = field(default_factory=Stopwatch)
    cache: OperationCache | None = None
    """None where it is run once only."""
    earlier: EarlierSculpt | None = None
    """The sculpt the recipe was made with, where it remembers that."""
    before: tuple[Point, ...] | None = None
    """Where, on the hold that enters it, the step found its places on the sculpt before, mm, or where the
    trim it looks ahead to cut that; None where that is not known."""
    ahead: Mapping[str, Parameters] = field(default_factory=dict)
    """Parameters of the steps to come that the operation looks ahead to, by operation."""


@dataclass(frozen=True)
class Outcome:
    """What a step gives."""

    hold: Hold
    """After the step."""
    findings: tuple[Finding, ...] = ()
    """What deserves a look."""
    result: str = ""
    """One short line."""
    pieces: tuple[PieceAccount, ...] = ()
    """Of the import alone: what it found and did on each piece of the sculpt."""
    followed: Mapping[str, Any] = field(default_factory=dict)
    """Values that keep something as it was on the sculpt before, where the step's own would not."""
    kept: bool = False
    """Whether it left what it found where that was on the sculpt before."""


class Operation(ABC, Generic[P]):
    """One kind of step."""

    name: ClassVar[str]
    """As it stands in recipes, never changed once released."""
    version: ClassVar[int] = 1
    """Raised when the meaning of its parameters changes."""
    title: ClassVar[str]
    summary: ClassVar[str]
    """title, summary: for people: two or three words, and one sentence."""
    order: ClassVar[int]
    """Place in shop order; steps of a recipe never go backwards in it."""
    repeatable: ClassVar[bool] = False
    """Whether a recipe may hold several steps of it."""
    parameters: type[P]
    """Class that declares the parameters, each with a default."""
    upgrades: ClassVar[Mapping[int, Upgrade]] = {}
    """From version n, where the next knows other parameters: a function from its parameters (plain dict) to
    those of version n + 1."""

    @abstractmethod
    def apply(self, hold: Hold, parameters: P, run: Run) -> Outcome:
        """Do the step.

        Raises
        ------
        ParameterError
            When a value makes no sense for this hold.
        GeometryError
            When the step would not give a solid.
        Cancelled
            When asked to stop.
        """

    def rows(self, parameters: P, catalogue: Catalogue) -> tuple[object, ...]:
        """Give the catalogue rows the step depends on: a change in them makes the step run again."""
        del parameters, catalogue
        return ()

    def looks_back(self, parameters: P) -> bool:
        """Say whether the step depends on what it found on the sculpt before."""
        del parameters
        return False

    def looks_ahead(self, parameters: P) -> tuple[str, ...]:
        """Name the operations whose parameters, further on in the recipe, the step depends on."""
        del parameters
        return ()
