"""Works for the children of benches, with outcomes that are known."""

import os
import time
from dataclasses import dataclass

from holdwright.errors import GeometryError
from holdwright.progress import Progress


@dataclass(frozen=True)
class Double:
    """Gives twice a number, the sooner the larger it is."""

    number: int

    def do(self, _progress: Progress) -> int:
        time.sleep(0.2 / (1 + self.number))
        return 2 * self.number


@dataclass(frozen=True)
class Refuse:
    """Raises a sentence."""

    def do(self, _progress: Progress) -> None:
        raise GeometryError("It cannot be done.")


@dataclass(frozen=True)
class Crash:
    """Ends its process."""

    def do(self, _progress: Progress) -> None:
        os._exit(3)


@dataclass(frozen=True)
class Sleep:
    """Says nothing for a long time."""

    def do(self, _progress: Progress) -> None:
        time.sleep(60.0)
