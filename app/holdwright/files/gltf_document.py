"""A glTF file opened: its JSON and the bytes that came with it, nothing of it trusted.

Source: glTF 2.0 Specification (Khronos Group; ISO/IEC 12113:2022), 3.2 (JSON), 4 (GLB), 3.6.1 (buffers).
"""

import binascii
import json
import re
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np

from holdwright.files.read_error import Unreadable, excerpt
from holdwright.geometry.arrays import Floats

MOST_JSON: Final = 16 << 20
"""Bytes of JSON read, embedded bytes apart: a scene of thousands of nodes has one of them."""

LONGEST_HEAD: Final = 200
"""Letters of a data URI in which its comma stands: a kind and an encoding."""

_EMBEDDED = re.compile(rb'(?<!\\)"data:')
_AS_ONE = "export the sculpt as one GLB file, which carries everything"
_JSON_CHUNK, _BINARY_CHUNK = 0x4E4F534A, 0x004E4942


@dataclass(frozen=True)
class GltfEntry:
    """A JSON object of the file; each value read from it is checked, and `Unreadable` where it is wrong."""

    values: dict[str, Any]
    whose: str
    """What the object is, for a message: "its node 3"."""

    @classmethod
    def of(cls, values: Any, whose: str) -> "GltfEntry":
        """Take a value that must be a JSON object."""
        if not isinstance(values, dict):
            raise Unreadable(f"{whose} is not a JSON object")
        return cls(values, whose)

    def __contains__(self, key: str) -> bool:
        return key in self.values

    @property
    def name(self) -> str:
        """Its name, blank where it has none."""
        return str(self.values.get("name") or "")

    def integer(self, key: str, *, least: int = 0, default: int | None = None) -> int:
        """Give a whole number from `least` up; a missing one is `default`, and an error without."""
        return self._whole(key, self.values.get(key, default), least)

    def _whole(self, key: str, value: Any, least: int) -> int:
        if isinstance(value, float) and value.is_integer() and abs(value) < 2.0**53:
            value = int(value)
        if not isinstance(value, int) or isinstance(value, bool) or not least <= value < 2**53:
            found = "is missing" if value is None else f"is {excerpt(json.dumps(value).encode())}"
            raise Unreadable(f"the {key} of {self.whose} {found}, and not a whole number from {least} up")
        return value

    def rows(self, key: str) -> list[Any]:
        """Give a list, empty where it is missing."""
        rows = self.values.get(key, [])
        if not isinstance(rows, list):
            raise Unreadable(f"the {key} of {self.whose} are not a list")
        return rows

    def nodes(self, key: str) -> list[int]:
        """Give a list of the numbers of nodes."""
        return [self._whole("node", value, 0) for value in self.rows(key)]

    def entry(self, key: str, whose: str = "") -> "GltfEntry":
        """Give a JSON object within this one, empty where it is missing; `whose` is this one's by default."""
        found = GltfEntry.of(self.values.get(key, {}), f"the {key} of {self.whose}")
        return GltfEntry(found.values, whose or self.whose)

    def numbers(self, key: str, *default: float) -> Floats:
        """Give as many finite numbers as `default` has, which stands where they are missing."""
        values = self.rows(key) if key in self else list(default)
        plain = all(type(value) in (int, float) for value in values)
        numbers = [float(value) if abs(value) < 1e300 else np.inf for value in values if plain]
        if len(numbers) != len(default) or not np.isfinite(numbers).all():
            raise Unreadable(f"the {key} of {self.whose} is not {len(default)} finite numbers")
        return np.array(numbers)


@dataclass(frozen=True, eq=False)
class GltfDocument:
    """The content of a file."""

    root: GltfEntry
    """The JSON."""
    binary: memoryview | None
    """The GLB's own bytes, None where it has none."""
    embedded: tuple[memoryview, ...]
    """Data URIs, in the order the JSON has them; there each is "data:" and its place here."""
    _decoded: dict[int, memoryview] = field(default_factory=dict)

    def entry(self, name: str, index: int, whose: str, called: str = "") -> GltfEntry:
        """Give an entry of one of the lists the JSON begins with, as `called`, for an error of `whose`."""
        rows = self.root.rows(name)
        if not 0 <= index < len(rows):
            raise Unreadable(f"{whose} names number {index} of its {name}, of which it has {len(rows)}")
        found = GltfEntry.of(rows[index], f"number {index} of its {name}")
        return GltfEntry(found.values, called or found.whose)

    def buffer(self, index: int, whose: str) -> memoryview:
        """Give the bytes of a buffer that is in the file itself; no other file is ever opened.

        `Unreadable` when it is elsewhere, or shorter than it says.
        """
        entry = self.entry("buffers", index, whose, f"buffer {index}")
        length = entry.integer("byteLength", least=1)
        address = entry.values.get("uri")
        if address is None:
            if index or self.binary is None:
                raise Unreadable(f"its buffer {index} is nowhere in the file", _AS_ONE)
            held = self.binary
        else:
            held = self._unpacked(address, index)
        if len(held) < length:
            raise Unreadable(f"its buffer {index} should have {length:,} bytes, but {len(held):,} are there")
        return held[:length]

    def _unpacked(self, address: Any, index: int) -> memoryview:
        place = str(address).removeprefix("data:")
        if not re.fullmatch("data:[0-9]{1,9}", str(address)) or int(place) >= len(self.embedded):
            name = excerpt(str(address).encode("utf-8", "replace"))
            raise Unreadable(f"its shape is in another file, {name}, and only the one given is read", _AS_ONE)
        if int(place) in self._decoded:
            return self._decoded[int(place)]
        data = self.embedded[int(place)]
        head = bytes(data[:LONGEST_HEAD]).partition(b",")[0]
        if not head.endswith(b";base64"):
            raise Unreadable(f"its buffer {index} is embedded in another way than base64")
        coded = data[len(head) + 1 :]
        if b"\\" in (escaped := bytes(coded)):
            coded = memoryview(escaped.replace(b"\\/", b"/"))
        try:
            held = memoryview(binascii.a2b_base64(coded, strict_mode=True))
        except binascii.Error:
            raise Unreadable(f"its buffer {index} is not valid base64") from None
        self._decoded[int(place)] = held
        return held


MAGIC: Final = b"glTF"


def open_gltf(content: bytes) -> GltfDocument:
    """Open GLB or JSON; `Unreadable` when it is cut short, of another version or its chunks make no sense."""
    if not content.startswith(MAGIC):
        return _document(content.removeprefix(b"\xef\xbb\xbf"), None)
    if len(content) < 20:
        raise Unreadable(f"it has {len(content)} bytes, and the header of a GLB alone has 20")
    version, length = (int.from_bytes(content[at : at + 4], "little") for at in (4, 8))
    if version != 2:
        raise Unreadable(
            f"it is of glTF version {version}, and only version 2 is read", "export it as glTF 2.0"
        )
    if length > len(content):
        raise Unreadable(f"its header counts {length:,} bytes, but only {len(content):,} are there")
    text, binary = None, None
    place, view = 12, memoryview(content)[:length]
    while place + 8 <= length:
        size, kind = (int.from_bytes(view[at : at + 4], "little") for at in (place, place + 4))
        if place + 8 + size > length:
            raise Unreadable(f"a chunk of it counts {size:,} bytes, but only {length - place - 8:,} follow")
        chunk = view[place + 8 : place + 8 + size]
        if text is None:
            if kind != _JSON_CHUNK:
                raise Unreadable("its first chunk is not the JSON that describes it")
            text = bytes(chunk)
        elif kind == _BINARY_CHUNK and binary is None:
            binary = chunk
        place += 8 + size
    if text is None:
        raise Unreadable("it holds no chunk of JSON")
    return _document(text, binary)


def _document(text: bytes, binary: memoryview | None) -> GltfDocument:
    text, embedded = _without_data(text)
    if len(text) > MOST_JSON:
        raise Unreadable(f"its JSON has {len(text) >> 20} MiB, more than a sculpt needs")
    try:
        root = json.loads(text.rstrip(b"\0 ").decode("utf-8"), parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        reason = "it nests too deep" if isinstance(error, RecursionError) else str(error)
        raise Unreadable(f"its JSON cannot be read ({reason})") from None
    if not isinstance(root, dict) or not isinstance(root.get("asset"), dict):
        raise Unreadable("its JSON is that of no glTF: it has no asset")
    version = str(root["asset"].get("version", ""))
    if version.partition(".")[0] != "2":
        what = excerpt(version.encode("utf-8", "replace"))
        raise Unreadable(f"it is of glTF version {what}, and only version 2 is read", "export it as glTF 2.0")
    return GltfDocument(GltfEntry(root, "its JSON"), binary, embedded)


def _without_data(text: bytes) -> tuple[bytes, tuple[memoryview, ...]]:
    """Put data URIs aside, as views that copy nothing; each leaves "data:" and its place there."""
    embedded: list[memoryview] = []
    view, start, place = memoryview(text), 0, 0
    parts: list[bytes | memoryview] = []
    while found := _EMBEDDED.search(text, place):
        place = text.find(b'"', found.end())
        if place < 0:
            break
        if text[place - 1 : place] != b"\\":  # with a quotation mark in it, it is no data
            parts += [view[start : found.end()], b"%d" % len(embedded)]
            embedded.append(view[found.end() : place])
            start = place
        place += 1
    return b"".join([*parts, view[start:]]), tuple(embedded)


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not a number")
