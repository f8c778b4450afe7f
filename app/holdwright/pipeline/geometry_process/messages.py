"""What a process and the child that works for it say to each other."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Task:
    """Asks for work."""

    number: int
    """Chosen by the asker, from 1 up; every answer carries it."""
    work: Any
    """What the child's `Worker` is given."""


@dataclass(frozen=True)
class Stop:
    """Asks for a task to be given up at its next report."""

    number: int


@dataclass(frozen=True)
class Quit:
    """Asks the child to end."""


@dataclass(frozen=True)
class Reported:
    """How far a task is: fraction from 0 to 1, and what it is doing."""

    number: int
    fraction: float
    text: str


@dataclass(frozen=True)
class Sent:
    """Part of what a task gives, while it goes on."""

    number: int
    content: Any


@dataclass(frozen=True)
class Ended:
    """A task is over."""

    number: int
    """Of the task; 0 for the child's preparation."""
    result: Any = None
    """What it gave."""
    error: BaseException | None = None
    """What stopped it; None when all went well or when it was stopped as requested."""
    stopped: bool = False
    """Whether it was stopped as requested."""


Request = Task | Stop | Quit
Answer = Reported | Sent | Ended
