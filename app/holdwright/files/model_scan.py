"""Takes in the model part of a 3MF package, element by element."""

from collections.abc import Callable

import numpy as np

from holdwright.files.instances import MOST_PLACED
from holdwright.files.markup import Markup
from holdwright.files.model_3mf import (
    CORE,
    HARMLESS,
    TRIANGLE,
    TYPES,
    UNITS,
    VERTEX,
    Model,
    ModelObject,
    OddNumberError,
    floats_of,
    integers_of,
    number_of,
    placement_of,
)
from holdwright.files.read_error import Unreadable, excerpt
from holdwright.geometry.arrays import Floats, Indices

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
    """Takes a model part in, element by element, and rows of meshes in bulk besides.

    Attributes
    ----------
    awaiting
        "vertices" or "triangles" when one of these has just begun, blank after anything else.
    """

    def __init__(self) -> None:
        self.model = Model()
        self.markup = Markup("its model", self._start, self._end)
        self.awaiting = ""
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
            "vertices": self._start_rows,
            "triangles": self._start_rows,
        }

    def take_vertices(self, rows: Floats) -> None:
        """Take vertices read in bulk, after those before."""
        self._flush("vertices")
        self._current.vertices.append(rows)

    def take_triangles(self, rows: Indices) -> None:
        """Take triangles read in bulk, after those before."""
        self._flush("triangles")
        self._current.triangles.append(rows)

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
        self.awaiting = ""
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
        if parent == "vertices":
            self._take_row(attributes, *VERTEX)
        elif parent == "triangles":
            self._take_row(attributes, *TRIANGLE)
        elif name in self._starts:
            self._starts[name](dict(zip(attributes[::2], attributes[1::2], strict=True)))
        else:
            self._start_other(name)

    def _end(self, _: str) -> None:
        self.awaiting = ""
        name = self._path.pop()
        if name in ("vertices", "triangles"):
            self._flush(name)
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
        rows = self._current.vertices if name == "vertices" else self._current.triangles
        if rows:
            raise Unreadable(f"the mesh of {self._current.label} has <{name}> twice")
        self.awaiting = name

    def _start_other(self, name: str) -> None:
        if name == "build":
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
        if part.triangles:
            rows = np.concatenate(part.triangles)
            count = sum(len(vertices) for vertices in part.vertices)
            if rows.max(initial=-1) >= count:
                row = int(np.argmax((rows >= count).any(axis=1)))
                raise Unreadable(
                    f"triangle {row:,} (counted from 0) of {part.label} names vertex "
                    f"{rows[row].max():,}, but its mesh has {count:,} vertices"
                )
            part.triangles = [rows]
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
        self._placed += 1
        if self._placed > MOST_PLACED:
            raise Unreadable(f"it places more than {MOST_PLACED:,} parts")
        return placement_of(given, whose)

    def _take_row(self, attributes: list[str], element: str, names: tuple[str, ...]) -> None:
        if len(attributes) == 6 and (attributes[0], attributes[2], attributes[4]) == names:
            self._words += attributes[1::2]
        else:
            given = dict(zip(attributes[::2], attributes[1::2], strict=True))
            if not all(name in given for name in names):
                raise Unreadable(
                    f"a {element} of {self._current.label} on line {self.markup.line:,} has no "
                    f"{' or no '.join(name for name in names if name not in given)}"
                )
            self._words += [given[name] for name in names]
        if len(self._words) >= _FLUSH:
            self._flush(self._path[-2])

    def _flush(self, rows: str) -> None:
        if not self._words:
            return
        part = self._current
        before = part.vertices if rows == "vertices" else part.triangles
        try:
            if rows == "vertices":
                part.vertices.append(floats_of(self._words))
            else:
                part.triangles.append(integers_of(self._words))
        except OddNumberError as odd:
            row = sum(len(taken) for taken in before) + odd.row
            one = "vertex" if rows == "vertices" else "triangle"
            raise Unreadable(
                f"{one} {row:,} (counted from 0) of {part.label} is given as {excerpt(odd.word.encode())}, "
                f"which is not {'a number' if rows == 'vertices' else 'an index'}"
            ) from None
        self._words = []
