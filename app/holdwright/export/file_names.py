"""What the files of a hold are called, and which of those names are taken by files that are read."""

from collections.abc import Iterable, Sequence
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:  # a command names its files before it forks, and nothing heavy is to be loaded by then
    from holdwright.export.formats import FileFormat

REPORT_ENDING: Final = "report.json"


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


def file_names(name: str, parts: Sequence[str], kind: "FileFormat") -> dict[str, tuple[str, ...]]:
    """Give the names of a hold's files in one format, in the order they are written, each with its parts."""
    if kind.together:
        return {f"{name}.{kind.ending}": tuple(parts)}
    return {f"{name}-{part.replace(' ', '-')}.{kind.ending}": (part,) for part in parts}


def report_name(name: str) -> str:
    """Give the name of a hold's report."""
    return f"{name}.{REPORT_ENDING}"


def names_being_read(folder: Path, names: Iterable[str], read: Iterable[Path]) -> tuple[str, ...]:
    """Give those of the names that stand, in the folder, for a file that is read.

    A link and a name in other letters, where the disk takes them for the same, count too.

    Parameters
    ----------
    names
        Of the files to be written into the folder.
    read
        Sculpts and recipes, which must stay as they are.
    """
    sources = [path for path in read if path.is_file()]
    return tuple(name for name in names if any(_same(folder / name, path) for path in sources))


def _same(target: Path, source: Path) -> bool:
    try:
        return target.samefile(source)
    except (OSError, ValueError):  # most often nothing of that name is there
        return False
