"""Reading tables: TOML files whose rows are checked one by one."""

import tomllib
from collections.abc import Callable, Hashable, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any, Final, Literal, TypeVar, cast, dataclass_transform

from pydantic import ConfigDict, Field, ValidationError
from pydantic.dataclasses import dataclass
from pydantic_core import ErrorDetails

from holdwright.errors import CatalogueError
from holdwright.validation_messages import DEEPEST, too_deep, validation_message

Size = Annotated[float, Field(gt=0.0, lt=1000.0)]
Text = Annotated[str, Field(min_length=1)]

Tag = Literal["S", "S2", "L", "P", "M", "C"]
"""How sure a row is: published source, seen through a secondary page, library, practice, memory, computed."""

R = TypeVar("R")


@dataclass_transform(kw_only_default=True, frozen_default=True)
def row(kind: type[R]) -> type[R]:
    """Make a class that of the rows of a table, each value checked strictly."""
    config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)
    return cast("type[R]", dataclass(frozen=True, kw_only=True, config=config)(kind))


def as_tuple(value: Any) -> Any:
    """Take the list that TOML writes for the tuple it stands for."""
    return tuple(value) if isinstance(value, list) else value


@row
class Row:
    """What every row says: where its values are from, and how sure they are."""

    source: Text
    tag: Tag


@row
class NamedRow(Row):
    """A row that is looked up by its name."""

    name: Text


LARGEST_BYTES: Final = 1_000_000
"""A table is some pages of text; the largest shipped has a tenth of it."""


def read_rows(folder: Path, key: str, kind: type[R]) -> tuple[R, ...]:
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
        raise CatalogueError(f"There are no .toml tables in {folder}; reinstall.")
    return tuple(each for file in files for each in _rows_of(file, key, kind))


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
        raise CatalogueError(
            f"There is nothing at {path}, where your own tables should be; correct the path."
        )
    files = sorted(path.glob("*.toml")) if path.is_dir() else [path]
    if not files:
        raise CatalogueError(f"There is no .toml file in {path}, where your own tables should be.")
    found: dict[str, list[Any]] = {}
    for file in files:
        for key, rows in _content(file).items():
            if key not in kinds:
                known = ", ".join(f"[[{name}]]" for name in kinds)
                raise CatalogueError(
                    f"The table {file} holds '{key}', which is not a table; choose from {known}."
                )
            found.setdefault(key, []).extend(_all_checked(file, key, rows, kinds[key]))
    return {key: tuple(rows) for key, rows in found.items()}


def merged(shipped: Sequence[R], own: Sequence[R], identity: Callable[[R], Hashable]) -> tuple[R, ...]:
    """Put own rows on top of those that ship: in the place of the row they replace, or behind all."""
    return tuple({identity(each): each for each in (*shipped, *own)}.values())


def _rows_of(file: Path, key: str, kind: type[R]) -> list[R]:
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


def _all_checked(file: Path, key: str, rows: Any, kind: type[R]) -> list[R]:
    if not isinstance(rows, list) or not rows:
        raise CatalogueError(f"The table {file} holds no rows; write each as [[{key}]].")
    return [_checked(f"Table {file}, row {n}", key, values, kind) for n, values in enumerate(rows, start=1)]


def _checked(where: str, key: str, values: Any, kind: type[R]) -> R:
    if not isinstance(values, dict):
        raise CatalogueError(f"{where}: it is not written as [[{key}]].")
    label = values.get("name", values.get("material"))
    if isinstance(label, str):
        where += f" ({label})"
    try:
        return kind(**values)
    except ValidationError as error:
        raise CatalogueError(f"{where}, {'; '.join(map(_field_problem, error.errors()))}.") from error


def _field_problem(detail: ErrorDetails) -> str:
    name = ".".join(str(part) for part in detail["loc"])
    field = f"field '{name}'" if name else "the row"
    return f"{field}: {validation_message(detail)}"
