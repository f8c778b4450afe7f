"""What the files of each sculpt of a run are called."""

from collections.abc import Sequence
from itertools import count
from pathlib import Path


def names_for(sculpts: Sequence[Path]) -> list[str]:
    """Name each sculpt by its file without the ending; equal names are told apart by -2, -3 and so on.

    Names that differ by case alone count as equal, as some disks take them so.
    """
    own = [path.stem.strip().strip(".") or "sculpt" for path in sculpts]
    reserved = {name.casefold() for name in own}
    taken: set[str] = set()
    names = []
    for name in own:
        chosen = name
        if name.casefold() in taken:
            chosen = next(
                numbered
                for numbered in (f"{name}-{number}" for number in count(2))
                if numbered.casefold() not in taken | reserved
            )
        taken.add(chosen.casefold())
        names.append(chosen)
    return names
