"""All tables together."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Catalogue:
    """The tables an operation may look things up in."""
