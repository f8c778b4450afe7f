"""Takes in the model part of a 3MF package, element by element."""

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from holdwright.files.instances import MOST_PLACED, is_flat
from holdwright.files.markup import Markup, attributes_of
from holdwright.files.numbers import number
from holdwright.files.read_3mf_model import (
    CORE,
    HARMLESS,
    ROWS,
    TYPES,
    UNITS,
    Model,
    ModelObject,
    RowKind,
    number_of,
    rows_of,
)
from holdwright.files.read_error import Unreadable, excerpt
from holdwright.geometry.arrays import Floats

_IGNORABLE = "http://schemas.openxmlformats.org/markup-compatibility/2006 Ignorable"
_CHILDREN = {
    "": ("model",),
    "model": ("metadata", "metadatagroup", "resources", "build"),
    "metadatagroup": ("metadata",),
    "resources": ("object", "basematerials"),
    "basematerials": ("base",),
    "object": ("metadatagroup", "mesh", "components"),
    "mesh": ("vertices", "triangles"),
    "vertices": ("vertex",),
    "triangles": ("triangle",),
    "components": ("component",),
    "build": ("item",),
    "item": ("metadatagroup",),
}
_FLUSH = 3 * 65536
_MOST_OBJECTS = 100_000


class ModelScan:
    """Takes a model part in, element by element, and rows of meshes in bulk besides."""

    def __init__(self) -> None:
        self.model = Model()
        self.markup = Markup("its model", self._start, self._end)
        self.awaiting: RowKind | None = None
        """The kind of rows that have just begun, None after anything else."""
        self._path: list[str] = [""]
        self._part: ModelObject | None = None
        self._words: list[str] = []
        self._foreign: set[str] = set()
        self._ignorable: set[str] = set()
        self._placed = 0
        self._built = False
        self._starts: dict[str, Callable[[dict[str, str]], None]] = {
            "model": self._start_model,
            "object": self._start_object,
            "component": self._start_component,
            "item": self._start_item,
            "metadata": self._start_metadata,
            "build": self._start_build,
            **dict.fromkeys(ROWS, self._start_rows),
        }

    def take(self, rows: NDArray[Any], kind: RowKind) -> None:
        """Take rows read in bulk, after those before."""
        self._flush(kind)
        self._current.rows[kind.rows].append(rows)

    def finish(self) -> Model:
        """Say that all is fed, and give the model."""
        self.markup.close()
        if not self._built:
            raise Unreadable("its model has no build section, so nothing says what is to be made")
        if self._foreign:
            names = ", ".join(excerpt(name.encode(), 80) for name in sorted(self._foreign)[:5])
            self.model.notes.append(f"What the file says by extensions was passed over: {names}.")
        return self.model

    @property
    def _current(self) -> ModelObject:
        assert self._part is not None
        return self._part

    def _start(self, full_name: str, attributes: list[str]) -> None:
        self.awaiting = None
        space, _, name = full_name.rpartition(" ")
        parent = self._path[-1]
        if space != CORE or parent == "*":
            self._start_foreign(space, name, parent)
            return
        if name not in _CHILDREN.get(parent, ()):
            inside = f"<{parent}>" if parent else "the file"
            raise Unreadable(
                f"its model has <{name}> in {inside} on line {self.markup.line:,}, where it has no place"
            )
        self._path.append(name)
        if parent in ROWS:
            self._take_row(attributes, ROWS[parent])
        elif name in self._starts:
            self._starts[name](attributes_of(attributes))

    def _end(self, _: str) -> None:
        self.awaiting = None
        name = self._path.pop()
        if name in ROWS:
            self._flush(ROWS[name])
        elif name == "object":
            self._end_object()

    def _start_foreign(self, space: str, name: str, parent: str) -> None:
        if parent == "":
            raise Unreadable(
                f"its model begins with <{name}> of {excerpt(space.encode(), 80)}, and not with that of the "
                "3MF core specification"
            )
        if parent != "*" and space not in HARMLESS:
            self._foreign.add(space)
        self._path.append("*")

    def _start_model(self, given: dict[str, str]) -> None:
        unit = given.get("unit", "millimeter")
        if unit not in UNITS:
            raise Unreadable(f"its unit is {excerpt(unit.encode())}, and only {', '.join(UNITS)} are known")
        self.model.unit = unit
        self._ignorable = {self._space(prefix) for prefix in given.get(_IGNORABLE, "").split()}
        for prefix in given.get("requiredextensions", "").split():
            space = self._space(prefix)
            if space not in HARMLESS:
                raise Unreadable(
                    f"it requires the extension {excerpt(prefix.encode())} "
                    f"({excerpt(space.encode(), 80)[1:-1]}), which is not read",
                    "export the sculpt as plain 3MF, or as OBJ or STL",
                )

    def _space(self, prefix: str) -> str:
        return self.markup.namespaces.get(prefix, prefix)

    def _start_metadata(self, given: dict[str, str]) -> None:
        if "name" not in given:
            raise Unreadable(f"its model has metadata without a name on line {self.markup.line:,}")

    def _start_rows(self, given: dict[str, str]) -> None:
        name = self._path[-1]
        unknown = [key for key in given if key.rpartition(" ")[0] not in (*self._ignorable, *HARMLESS)]
        if unknown:
            raise Unreadable(
                f"its <{name}> on line {self.markup.line:,} has an attribute that it cannot have"
            )
        if self._current.rows[name]:
            raise Unreadable(f"the mesh of {self._current.label} has <{name}> twice")
        self.awaiting = ROWS[name]

    def _start_build(self, _: dict[str, str]) -> None:
        if self._built:
            raise Unreadable("its model has two build sections")
        self._built = True

    def _start_object(self, given: dict[str, str]) -> None:
        number = number_of(given, "id", "an object")
        if number in self.model.parts:
            raise Unreadable(f"it has two objects with the id {number}")
        if len(self.model.parts) >= _MOST_OBJECTS:
            raise Unreadable(f"it has more than {_MOST_OBJECTS:,} objects")
        kind = given.get("type", "model")
        if kind not in TYPES:
            raise Unreadable(f"object {number} has the unknown type {excerpt(kind.encode())}")
        self._part = ModelObject(number, given.get("name", ""), kind)

    def _end_object(self) -> None:
        part = self._current
        part.rows = {name: [np.concatenate(rows)] if rows else [] for name, rows in part.rows.items()}
        for rows in part.rows["triangles"]:
            count = sum(map(len, part.rows["vertices"]))
            if rows.max(initial=-1) >= count:
                row = int(np.argmax((rows >= count).any(axis=1)))
                raise Unreadable(
                    f"triangle {row:,} (counted from 0) of {part.label} names vertex "
                    f"{rows[row].max():,}, but its mesh has {count:,} vertices"
                )
        self.model.parts[part.number] = part
        self._part = None

    def _start_component(self, given: dict[str, str]) -> None:
        part = self._current
        number = number_of(given, "objectid", f"a component of {part.label}")
        if number not in self.model.parts:
            raise Unreadable(
                f"{part.label} is made of object {number}, which does not stand before it in the file"
            )
        part.components.append((number, self._placement(given, f"a component of {part.label}")))

    def _start_item(self, given: dict[str, str]) -> None:
        number = number_of(given, "objectid", "a build item")
        if number not in self.model.parts:
            raise Unreadable(f"it is to build object {number}, which it does not have")
        if self.model.parts[number].kind == "other":
            raise Unreadable(f'it is to build object {number}, whose type "other" may not be built')
        self.model.items.append((number, self._placement(given, f"build item {len(self.model.items) + 1}")))

    def _placement(self, given: dict[str, str], whose: str) -> Floats:
        """Read the (4, 4) placement that an element gives, or the identity."""
        self._placed += 1
        if self._placed > MOST_PLACED:
            raise Unreadable(f"it places more than {MOST_PLACED:,} parts")
        placement = np.eye(4)
        if "transform" not in given:
            return placement
        words = given["transform"].split()
        if len(words) != 12:
            raise Unreadable(f"the transform of {whose} has {len(words)} numbers instead of 12")
        placement[:, :3] = np.array([number(word.encode()) for word in words]).reshape(4, 3)
        if not np.isfinite(placement).all():
            raise Unreadable(f"the transform of {whose} holds what is not a finite number")
        if is_flat(placement):
            raise Unreadable(f"the transform of {whose} flattens it")
        return placement

    def _take_row(self, attributes: list[str], kind: RowKind) -> None:
        if tuple(attributes[::2]) == kind.names:
            self._words += attributes[1::2]
        else:
            given = attributes_of(attributes)
            if missing := [name for name in kind.names if name not in given]:
                raise Unreadable(
                    f"a {kind.element} of {self._current.label} on line {self.markup.line:,} has no "
                    f"{' or no '.join(missing)}"
                )
            self._words += [given[name] for name in kind.names]
        if len(self._words) >= _FLUSH:
            self._flush(kind)

    def _flush(self, kind: RowKind) -> None:
        if not self._words:
            return
        part, (rows, odd) = self._current, rows_of(self._words, kind)
        if odd is not None:
            row = sum(map(len, part.rows[kind.rows])) + odd // 3
            raise Unreadable(
                f"{kind.element} {row:,} (counted from 0) of {part.label} is given as "
                f"{excerpt(self._words[odd].encode())}, which is not {kind.noun}"
            )
        part.rows[kind.rows].append(rows)
        self._words = []
