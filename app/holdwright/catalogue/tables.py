"""Reading tables: TOML files whose rows are checked one by one."""

import tomllib
from collections.abc import Callable, Hashable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from holdwright.errors import CatalogueError
from holdwright.validation_messages import DEEPEST, misfit, too_deep

Row = TypeVar("Row")

LARGEST_BYTES: Final = 1_000_000
"""A table is some pages of text; the largest shipped has a tenth of it."""


def read_rows(folder: Path, key: str, kind: type[Row]) -> tuple[Row, ...]:
    """Read the rows of all TOML files of a folder, in order of file name.

    Parameters
    ----------
    folder
        Every ``*.toml`` file in it is a table; it must hold at least one.
    key
        Name of the rows in the files, as in ``[[washer]]``.
    kind
        Class of a row.

    Raises
    ------
    CatalogueError
        Naming file and row of the first that is wrong, and every field that is wrong in it.
    """
    files = sorted(folder.glob("*.toml"))
    if not files:
        raise CatalogueError(f"The catalogue wants .toml tables in {folder}, but none is there; reinstall.")
    return tuple(row for file in files for row in _rows_of(file, key, kind))


def read_own(path: Path, kinds: Mapping[str, type[Any]]) -> dict[str, tuple[Any, ...]]:
    """Read a user's own rows: one TOML file with rows of any table, or a folder of such files.

    Parameters
    ----------
    kinds
        Class of a row, by the name of its rows in the file, as in ``[[washer]]``.

    Raises
    ------
    CatalogueError
        Naming file and row of the first that is wrong, and every field that is wrong in it.
    """
    if not path.exists():
        raise CatalogueError(f"Own tables were asked for in {path}, but nothing is there; correct the path.")
    files = sorted(path.glob("*.toml")) if path.is_dir() else [path]
    if not files:
        raise CatalogueError(f"Own tables were asked for in {path}, but no .toml file is there.")
    found: dict[str, list[Any]] = {}
    for file in files:
        for key, rows in _content(file).items():
            if key not in kinds:
                known = ", ".join(f"[[{name}]]" for name in kinds)
                raise CatalogueError(f"The table {file} holds '{key}', which is no table; there are {known}.")
            found.setdefault(key, []).extend(_all_checked(file, key, rows, kinds[key]))
    return {key: tuple(rows) for key, rows in found.items()}


def merged(
    shipped: Sequence[Row], own: Sequence[Row], identity: Callable[[Row], Hashable]
) -> tuple[Row, ...]:
    """Put own rows on top of those that ship: in the place of the row they replace, or behind all."""
    rows = {identity(row): row for row in shipped}
    rows.update((identity(row), row) for row in own)
    return tuple(rows.values())


def _rows_of(file: Path, key: str, kind: type[Row]) -> list[Row]:
    content = _content(file)
    rows = content.pop(key, None)
    if content:
        raise CatalogueError(
            f"The table {file} holds '{next(iter(content))}'; only [[{key}]] rows belong there."
        )
    return _all_checked(file, key, rows, kind)


def _content(file: Path) -> dict[str, Any]:
    deep = CatalogueError(f"The table {file} is nested more than {DEEPEST} deep; write plain rows.")
    try:
        with file.open("rb") as stream:
            text = stream.read(LARGEST_BYTES + 1)
        if len(text) > LARGEST_BYTES:
            raise CatalogueError(f"The table {file} has more than {LARGEST_BYTES:,} bytes; give a table.")
        content = tomllib.loads(text.decode("utf-8"))
    except OSError as error:
        raise CatalogueError(f"The table {file} cannot be read: {error.strerror}.") from error
    except RecursionError:
        raise deep from None
    except ValueError as error:  # of the TOML, of its UTF-8, or of a number no float holds
        raise CatalogueError(f"The table {file} is not valid TOML: {error}.") from error
    if too_deep(content):
        raise deep
    return content


def _all_checked(file: Path, key: str, rows: Any, kind: type[Row]) -> list[Row]:
    if not isinstance(rows, list) or not rows:
        raise CatalogueError(f"The table {file} holds no rows; write each as [[{key}]].")
    return [_checked(file, key, number, row, kind) for number, row in enumerate(rows, start=1)]


def _checked(file: Path, key: str, number: int, row: Any, kind: type[Row]) -> Row:
    where = f"Table {file}, row {number}"
    if not isinstance(row, dict):
        raise CatalogueError(f"{where}: it is not written as [[{key}]].")
    label = row.get("name", row.get("material"))
    if isinstance(label, str):
        where += f" ({label})"
    try:
        return kind(**row)
    except ValidationError as error:
        raise CatalogueError(f"{where}, {'; '.join(_told(each) for each in error.errors())}.") from error


def _told(detail: ErrorDetails) -> str:
    name = ".".join(str(part) for part in detail["loc"])
    field = f"field '{name}'" if name else "the row"
    return f"{field}: {misfit(detail)}"
