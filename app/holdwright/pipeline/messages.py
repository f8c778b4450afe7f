"""What the window's process and the geometry process say to each other."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from holdwright.pipeline.display_results import ShownStep, Surface
from holdwright.pipeline.work_context import Bench


@dataclass(frozen=True)
class Job:
    """Asks for a recipe to be replayed on a sculpt.

    Attributes
    ----------
    number
        Chosen by the asker, rising; every answer carries it.
    recipe
        The recipe's text.
    sculpt
        Path of the sculpt's file.
    until
        Id of the last step wanted; None for all.
    have
        Keys of results whose solids the asker still has: they are not sent again.
    """

    number: int
    recipe: str
    sculpt: str
    until: str | None = None
    have: frozenset[str] = frozenset()


Work = Callable[[Bench, Any], object]
"""What an errand consists of: takes a bench and what is asked, gives what is sent back."""


@dataclass(frozen=True)
class Errand:
    """Asks for other work on a recipe and its sculpt than to show it: files to be written, an analysis.

    No later job takes its place.

    Attributes
    ----------
    number
        Chosen by the asker, rising, in one row with the numbers of jobs.
    work
        A function of a module. It travels by its name, so that the geometry process knows nothing of it
        before it is asked.
    recipe, sculpt
        The recipe's text; path of the sculpt's file.
    asked
        What `work` is given; must be fit to be pickled, and so must its answer.
    """

    number: int
    work: Work
    recipe: str
    sculpt: str
    asked: object


@dataclass(frozen=True)
class Stop:
    """Asks for job or errand `number` to be given up at its next report."""

    number: int


@dataclass(frozen=True)
class Quit:
    """Asks the geometry process to end."""


@dataclass(frozen=True)
class SculptShown:
    """The raw sculpt as it was read.

    Attributes
    ----------
    pieces
        Name and surface of each group, file units from the sculpt's origin.
    digest, notes, unit
        As of the sculpt.
    """

    number: int
    pieces: tuple[tuple[str, Surface], ...]
    digest: str
    notes: tuple[str, ...]
    unit: str | None = None

    @property
    def extent(self) -> float:
        """Largest size along the file's axes, file units."""
        low = np.min([surface.vertices.min(axis=0) for _, surface in self.pieces], axis=0)
        high = np.max([surface.vertices.max(axis=0) for _, surface in self.pieces], axis=0)
        return float((high - low).max())


@dataclass(frozen=True)
class Reported:
    """How far a job is: fraction from 0 to 1, and what it is doing."""

    number: int
    fraction: float
    text: str


@dataclass(frozen=True)
class StepShown:
    """A step of a job is done, or has failed."""

    number: int
    step: ShownStep


@dataclass(frozen=True)
class Gave:
    """What an errand's work gave."""

    number: int
    what: object


@dataclass(frozen=True)
class Ended:
    """A job or an errand is over.

    Attributes
    ----------
    failed
        The sentence of the error that stopped it; blank when all went well or when it was stopped as asked.
    stopped
        Whether it was stopped as asked.
    """

    number: int
    failed: str = ""
    stopped: bool = False


Request = Job | Errand | Stop | Quit
Answer = SculptShown | Reported | StepShown | Gave | Ended
