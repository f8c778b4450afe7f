"""Arrays out of the bytes of a glTF file, every bound checked before a byte is touched.

Source: glTF 2.0 Specification, 3.6.2 (accessors, strides, sparse storage) and 3.11 (normalised integers).
"""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from holdwright.files.gltf_document import GltfDocument, GltfEntry
from holdwright.files.instances import MOST_TRIANGLES
from holdwright.files.read_error import Unreadable, excerpt
from holdwright.geometry.arrays import Floats, Indices

_KINDS: Final = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
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
        self._buffers: dict[int, int] = {}
        self._positions: dict[int, Floats] = {}
        self._indices: dict[int, Indices] = {}
        self._viewed_bytes = 0

    def positions(self, index: int, whose: str) -> Floats:
        """Give the positions of vertices, (n, 3) float64; `Unreadable` when the accessor holds none."""
        if index not in self._positions:
            entry = self._entry(index, whose)
            kind = entry.integer("componentType")
            if kind != _FLOAT and not (self._quantized and kind in (5120, 5121, 5122, 5123)):
                raise Unreadable(
                    f"{entry.whose} holds positions as components of type {kind}, which they cannot have"
                )
            with np.errstate(invalid="ignore"):  # NaN stays NaN, and is refused where it is used
                values = self._array(entry, "VEC3", 3).astype(np.float64)
            if kind != _FLOAT and entry.values.get("normalized") is True:
                limits = np.iinfo(_KINDS[kind])
                values = np.maximum(values / limits.max, -1.0 if limits.min < 0 else 0.0)
            self._positions[index] = values
        return self._positions[index]

    def indices(self, index: int, whose: str) -> Indices:
        """Give indices of vertices, (n,) int64."""
        if index not in self._indices:
            entry = self._entry(index, whose)
            if entry.integer("componentType") not in _INDEX_KINDS:
                raise Unreadable(f"{entry.whose} holds indices of a type that they cannot have")
            self._indices[index] = self._array(entry, "SCALAR", 1).reshape(-1).astype(np.int64)
        return self._indices[index]

    def _entry(self, index: int, whose: str) -> GltfEntry:
        return self._document.entry("accessors", index, whose, f"its accessor {index}")

    def _array(self, entry: GltfEntry, shape: str, width: int) -> NDArray[Any]:
        if (found := entry.values.get("type")) != shape:
            shown = excerpt(str(found).encode("utf-8", "replace"))
            raise Unreadable(f"{entry.whose} is of the type {shown} where {shape} is needed")
        count = entry.integer("count", least=1)
        kind = np.dtype(_KINDS[entry.integer("componentType")])
        if "bufferView" in entry:
            values = self._viewed(entry, kind, count, width)
        elif count > 3 * MOST_TRIANGLES:
            raise Unreadable(f"{entry.whose} has {count:,} elements and no bytes for them")
        else:
            values = np.zeros((count, width), dtype=kind)
        sparse = entry.entry("sparse", f"the sparse part of {entry.whose}")
        return self._replaced(values, sparse) if sparse.values else values

    def _viewed(self, entry: GltfEntry, kind: np.dtype[Any], count: int, width: int) -> NDArray[Any]:
        """Lay an array over the bytes of a view."""
        number = entry.integer("bufferView")
        view = self._document.entry("bufferViews", number, entry.whose, f"its buffer view {number}")
        buffer = self._document.buffer(view.integer("buffer"), view.whose)
        self._buffers[view.integer("buffer")] = len(buffer)
        start = view.integer("byteOffset", default=0)
        length = view.integer("byteLength", least=1)
        if start + length > len(buffer):
            raise Unreadable(f"{view.whose} ends at byte {start + length:,} of a buffer of {len(buffer):,}")
        size = kind.itemsize * width
        stride = view.integer("byteStride", default=size)
        if not size <= stride <= max(size, _LONGEST_STRIDE):
            raise Unreadable(f"{view.whose} has a stride of {stride} bytes for elements of {size}")
        offset = entry.integer("byteOffset", default=0)
        if offset + stride * (count - 1) + size > length:
            raise Unreadable(
                f"{entry.whose} counts {count:,} elements, more than the {length:,} bytes of "
                f"{view.whose} hold"
            )
        self._viewed_bytes += count * size
        if self._viewed_bytes > _PLAIN_BYTES + _MOST_USES * sum(self._buffers.values()):
            raise Unreadable("its accessors read the same bytes too often, which no sculpt needs")
        return np.ndarray((count, width), kind, buffer, start + offset, (stride, kind.itemsize))

    def _replaced(self, values: NDArray[Any], sparse: GltfEntry) -> NDArray[Any]:
        """Put the values of a sparse part in their places."""
        count = sparse.integer("count", least=1)
        places, news = sparse.entry("indices"), sparse.entry("values")
        kind = places.integer("componentType")
        if kind not in _INDEX_KINDS or count > len(values):
            raise Unreadable(f"{sparse.whose} replaces what is not there")
        rows = self._viewed(places, np.dtype(_KINDS[kind]), count, 1).reshape(-1).astype(np.int64)
        if rows.max() >= len(values) or (np.diff(rows) <= 0).any():
            raise Unreadable(f"{sparse.whose} does not count upward through elements that are there")
        values = values.copy()
        values[rows] = self._viewed(news, values.dtype, count, values.shape[1])
        return values
