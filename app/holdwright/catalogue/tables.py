"""Reading tables: TOML files whose rows are checked one by one."""

import tomllib
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from holdwright.errors import CatalogueError

Row = TypeVar("Row")


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
        Naming file, row and field of the first thing that is wrong.
    """
    files = sorted(folder.glob("*.toml"))
    if not files:
        raise CatalogueError(f"The catalogue wants .toml tables in {folder}, but none is there; reinstall.")
    return tuple(row for file in files for row in _rows_of(file, key, kind))


def _rows_of(file: Path, key: str, kind: type[Row]) -> list[Row]:
    try:
        content = tomllib.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise CatalogueError(f"The table {file} cannot be read: {error.strerror}.") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise CatalogueError(f"The table {file} is not valid TOML: {error}.") from error
    rows = content.pop(key, None)
    if content:
        raise CatalogueError(
            f"The table {file} holds '{next(iter(content))}'; only [[{key}]] rows belong there."
        )
    if not isinstance(rows, list) or not rows:
        raise CatalogueError(f"The table {file} holds no rows; write each as [[{key}]].")
    return [_checked(file, key, number, row, kind) for number, row in enumerate(rows, start=1)]


def _checked(file: Path, key: str, number: int, row: Any, kind: type[Row]) -> Row:
    where = f"Table {file}, row {number}"
    if not isinstance(row, dict):
        raise CatalogueError(f"{where}: it is not written as [[{key}]].")
    label = row.get("name")
    if isinstance(label, str):
        where += f" ({label})"
    try:
        return kind(**row)
    except ValidationError as error:
        first = error.errors()[0]
        name = ".".join(str(part) for part in first["loc"])
        field = f"field '{name}'" if name else "the row"
        raise CatalogueError(f"{where}, {field}: {first['msg'].removeprefix('Value error, ')}.") from error
