"""Files that an export reads must not be among those it writes."""

from collections.abc import Iterable
from pathlib import Path

from holdwright.errors import ExportError


def in_the_way(folder: Path, names: Iterable[str], read: Iterable[Path]) -> tuple[str, ...]:
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


def refuse_to_replace(name: str, folder: Path, names: Iterable[str], read: Iterable[Path]) -> None:
    """Refuse to write over a file that is read.

    Raises
    ------
    ExportError
        Naming it.
    """
    met = in_the_way(folder, names, read)
    if met:
        raise ExportError(
            f"The files of {name} cannot be written to {folder}, as {met[0]} there is a sculpt or recipe "
            "that is read; choose another folder, or leave that format out. Nothing was changed there."
        )


def _same(target: Path, source: Path) -> bool:
    try:
        return target.samefile(source)
    except (OSError, ValueError):  # most often nothing of that name is there
        return False
