"""Arrays out of the bytes of a glTF file, every bound checked before a byte is touched.

Source: glTF 2.0 Specification, 3.6.2 (accessors, strides, sparse storage) and 3.11 (normalised integers).
"""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from holdwright.files.gltf_document import Entry, GltfDocument, entry_of, integer
from holdwright.files.instances import MOST_TRIANGLES
from holdwright.files.read_error import Unreadable, excerpt
from holdwright.geometry.arrays import Floats, Indices

_KINDS: Final = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
_WIDTHS: Final = {"SCALAR": 1, "VEC3": 3}
_FLOAT = 5126
_INDEX_KINDS = (5121, 5123, 5125)
_LONGEST_STRIDE = 252
_PLAIN_BYTES = 64 << 20
_MOST_USES = 4
"""How often each byte may be read, beyond `_PLAIN_BYTES`: once or twice is usual."""


class Accessors:
    """Reads accessors of one document, each at most once.

    Parameters
    ----------
    document
        The file.
    quantized
        Whether positions may be integers, as KHR_mesh_quantization allows.
    """

    def __init__(self, document: GltfDocument, *, quantized: bool) -> None:
        self._document = document
        self._quantized = quantized
        self._buffers: dict[int, memoryview] = {}
        self._positions: dict[int, Floats] = {}
        self._indices: dict[int, Indices] = {}
        self._viewed_bytes = 0

    def positions(self, index: int, whose: str) -> Floats:
        """Give the positions of vertices, (n, 3) float64.

        Raises
        ------
        Unreadable
            When the accessor is no such array, or leaves the bytes it names.
        """
        if index not in self._positions:
            entry, name = self._entry(index, whose)
            kind = integer(entry, "componentType", name)
            if kind != _FLOAT and not (self._quantized and kind in (5120, 5121, 5122, 5123)):
                raise Unreadable(
                    f"{name} holds positions as components of type {kind}, which they cannot have"
                )
            with np.errstate(
                invalid="ignore"
            ):  # what is no number stays none, and is refused where it is used
                values = self._array(entry, name, "VEC3").astype(np.float64)
            if kind != _FLOAT and entry.get("normalized") is True:
                limits = np.iinfo(_KINDS[kind])
                values = np.maximum(values / limits.max, -1.0 if limits.min < 0 else 0.0)
            self._positions[index] = values
        return self._positions[index]

    def indices(self, index: int, whose: str) -> Indices:
        """Give indices of vertices, (n,) int64."""
        if index not in self._indices:
            entry, name = self._entry(index, whose)
            if integer(entry, "componentType", name) not in _INDEX_KINDS:
                raise Unreadable(f"{name} holds indices of a type that they cannot have")
            self._indices[index] = self._array(entry, name, "SCALAR").reshape(-1).astype(np.int64)
        return self._indices[index]

    def _entry(self, index: int, whose: str) -> tuple[Entry, str]:
        return self._document.entry("accessors", index, whose), f"its accessor {index}"

    def _array(self, entry: Entry, name: str, shape: str) -> NDArray[Any]:
        if entry.get("type") != shape:
            found = excerpt(str(entry.get("type")).encode("utf-8", "replace"))
            raise Unreadable(f"{name} is of the type {found} where {shape} is needed")
        width = _WIDTHS[shape]
        count = integer(entry, "count", name, least=1)
        kind = np.dtype(_KINDS[integer(entry, "componentType", name)])
        if "bufferView" in entry:
            values = self._viewed(entry, name, kind, count, width)
        elif count > 3 * MOST_TRIANGLES:
            raise Unreadable(f"{name} has {count:,} elements and no bytes for them")
        else:
            values = np.zeros((count, width), dtype=kind)
        sparse = entry_of(entry, "sparse", name)
        return self._replaced(values, sparse, f"the sparse part of {name}") if sparse else values

    def _viewed(self, entry: Entry, name: str, kind: np.dtype[Any], count: int, width: int) -> NDArray[Any]:
        """Lay an array over the bytes of a view."""
        number = integer(entry, "bufferView", name)
        view = self._document.entry("bufferViews", number, name)
        whose = f"its buffer view {number}"
        buffer = self._buffer(integer(view, "buffer", whose), whose)
        start = integer(view, "byteOffset", whose, default=0)
        length = integer(view, "byteLength", whose, least=1)
        if start + length > len(buffer):
            raise Unreadable(f"{whose} ends at byte {start + length:,} of a buffer of {len(buffer):,}")
        size = kind.itemsize * width
        stride = integer(view, "byteStride", whose, default=size)
        if not size <= stride <= max(size, _LONGEST_STRIDE):
            raise Unreadable(f"{whose} has a stride of {stride} bytes for elements of {size}")
        offset = integer(entry, "byteOffset", name, default=0)
        if offset + stride * (count - 1) + size > length:
            raise Unreadable(
                f"{name} counts {count:,} elements, more than the {length:,} bytes of {whose} hold"
            )
        self._viewed_bytes += count * size
        if self._viewed_bytes > _PLAIN_BYTES + _MOST_USES * sum(map(len, self._buffers.values())):
            raise Unreadable("its accessors read the same bytes too often, which no sculpt needs")
        return np.ndarray((count, width), kind, buffer, start + offset, (stride, kind.itemsize))

    def _buffer(self, index: int, whose: str) -> memoryview:
        if index not in self._buffers:
            self._buffers[index] = self._document.buffer(index, whose)
        return self._buffers[index]

    def _replaced(self, values: NDArray[Any], sparse: Entry, name: str) -> NDArray[Any]:
        """Put the values of a sparse part in their places."""
        count = integer(sparse, "count", name, least=1)
        places, news = entry_of(sparse, "indices", name), entry_of(sparse, "values", name)
        kind = integer(places, "componentType", name)
        if kind not in _INDEX_KINDS or count > len(values):
            raise Unreadable(f"{name} replaces what is not there")
        rows = self._viewed(places, name, np.dtype(_KINDS[kind]), count, 1).reshape(-1).astype(np.int64)
        if rows.max() >= len(values) or (np.diff(rows) <= 0).any():
            raise Unreadable(f"{name} does not count upward through elements that are there")
        values = values.copy()
        values[rows] = self._viewed(news, name, values.dtype, count, values.shape[1])
        return values
