"""The container of 3MF, a ZIP archive, opened without trusting what it says of itself, and its model part.

Only the requested parts are inflated, piece by piece, within limits that a mesh stays far below; nothing is
ever written to the disk. The model is found by relationships and content types, never by its name. Sources:
3MF Core Specification 1.3, 2.1.1; Open Packaging Conventions, ECMA-376 part 2 (5th edition, 2021), 6.5, 7 and
annex B (ZIP: only stored and deflated entries; names compared without regard to case).
"""

import io
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from typing import Final
from urllib.parse import unquote

from holdwright.files.markup import Markup, attributes_of
from holdwright.files.read_error import Unreadable, counted, excerpt

MOST_ENTRIES: Final = 65_535
"""What a plain ZIP can count; a package of a mesh has a handful."""

MOST_DIRECTORY_BYTES: Final = 8 << 20
MOST_INFLATED: Final = 2 << 30
PLAIN_BYTES: Final = 64 << 20
MOST_RATIO: Final = 50
"""Text of a mesh packs to a fifth or tenth, a regular grid to a twentieth; what packs better is no mesh, and
is taken up to `PLAIN_BYTES` only."""

CHUNK: Final = 4 << 20

_DAMAGED = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    ValueError,
    OSError,
)
_ENCRYPTED = 0x1 | 0x40 | 0x2000
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


class Package:
    """An archive opened.

    Parameters
    ----------
    content
        The whole file.

    Raises
    ------
    Unreadable
        When it is damaged, or holds two entries of one name.
    """

    def __init__(self, content: bytes) -> None:
        try:
            self._archive = zipfile.ZipFile(_Bounded(content))
        except _DAMAGED as error:
            raise Unreadable(f"its zip archive is damaged ({_reason(error)})") from None
        entries = self._archive.infolist()
        if not entries:
            raise Unreadable("it is an empty zip archive")
        if len(entries) > MOST_ENTRIES:
            raise Unreadable(f"its zip archive holds more than {MOST_ENTRIES:,} entries")
        self._entries: dict[str, zipfile.ZipInfo] = {}
        for entry in entries:
            if stat.S_ISLNK(entry.external_attr >> 16):  # no part of a package
                continue
            key = _key(entry.orig_filename)
            if key in self._entries:
                raise Unreadable(f"its zip archive holds {_shown(entry)} twice")
            self._entries[key] = entry

    def __contains__(self, name: str) -> bool:
        return _key(name) in self._entries

    def size(self, name: str) -> int:
        """Give the bytes that a part says it has when inflated."""
        return self._entries[_key(name)].file_size

    def small(self, name: str, most: int = 1 << 20) -> bytes:
        """Give a part of at most `most` bytes; `Unreadable` as `chunks`, and when it is larger."""
        if self.size(name) > most:
            raise Unreadable(
                f"{excerpt(name.encode())} in it has {self.size(name):,} bytes, more than it needs"
            )
        return b"".join(self.chunks(name))

    def chunks(self, name: str) -> Iterator[bytes]:
        """Inflate a part piece by piece; the last piece comes only once the checksum is right.

        `Unreadable` when it is encrypted, packed by another method than ZIP packages allow, damaged, or
        inflates beyond what a mesh does.
        """
        entry = self._entries[_key(name)]
        _check(entry)
        before = b""
        try:
            with self._archive.open(entry) as stream:
                while piece := stream.read(CHUNK):
                    if before:
                        yield before
                    before = piece
        except _DAMAGED as error:
            raise Unreadable(f"{_shown(entry)} in its zip archive is damaged ({_reason(error)})") from None
        if before:
            yield before


class _Bounded(io.BytesIO):
    """A file that gives no directory too large to be one, whatever length the archive claims for it."""

    def __init__(self, content: bytes) -> None:
        super().__init__(content)
        self._length = len(content)

    def read(self, size: int | None = -1, /) -> bytes:
        left = max(self._length - self.tell(), 0)
        required = left if size is None or size < 0 else min(size, left)
        if required > MOST_DIRECTORY_BYTES:
            raise zipfile.BadZipFile("its directory is too large")
        return super().read(required)


def _check(entry: zipfile.ZipInfo) -> None:
    if entry.flag_bits & _ENCRYPTED:
        raise Unreadable(f"{_shown(entry)} in its zip archive is encrypted", "save it without a password")
    if entry.compress_type not in _METHODS:
        raise Unreadable(
            f"{_shown(entry)} in its zip archive is packed by method {entry.compress_type}, and a 3MF "
            "package may only store or deflate"
        )
    most = min(PLAIN_BYTES + MOST_RATIO * entry.compress_size, MOST_INFLATED)
    if entry.file_size > most:
        raise Unreadable(
            f"{_shown(entry)} in it would inflate from {counted(entry.compress_size, 'byte')} to "
            f"{entry.file_size:,}, which no mesh does"
        )


def _key(name: str) -> str:
    return unquote(name).lower()


def _shown(entry: zipfile.ZipInfo) -> str:
    return excerpt(entry.orig_filename.encode("utf-8", "replace"))


def _reason(error: Exception) -> str:
    text = str(error).partition("\n")[0].rstrip(".") or type(error).__name__
    return text if len(text) < 100 else text[:100] + "…"


START: Final = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
MODEL_TYPE: Final = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
CONTENT_TYPES: Final = "[Content_Types].xml"
RELATIONSHIPS: Final = "_rels/.rels"

_RELATIONSHIP = "http://schemas.openxmlformats.org/package/2006/relationships Relationship"
_DEFAULT, _OVERRIDE = (
    f"http://schemas.openxmlformats.org/package/2006/content-types {name}" for name in ("Default", "Override")
)
_NO_PACKAGE = "give the 3MF, OBJ, STL, PLY or GLB file itself, unpacked if it is inside"


def model_part(package: Package) -> str:
    """Find the name of the one 3D model part.

    `Unreadable` when the archive is no package, or starts with no model, with several, or with one outside.
    """
    for needed in (CONTENT_TYPES, RELATIONSHIPS):
        if needed not in package:
            raise Unreadable(f"it is a zip archive, but no 3MF package: it has no {needed}", _NO_PACKAGE)
    rows = _rows(package, RELATIONSHIPS, "its list of relationships")
    starts = [row for name, row in rows if name == _RELATIONSHIP and row.get("Type") == START]
    if not starts:
        raise Unreadable("its package names no 3D model part to start with")
    if len(starts) > 1:
        raise Unreadable(
            f"its package names {len(starts)} 3D model parts to start with, and only one is allowed"
        )
    target = starts[0].get("Target", "")
    if starts[0].get("TargetMode", "Internal") != "Internal":
        raise Unreadable(f"its model lies outside the package, at {excerpt(target.encode())}")
    name = _part_name(target)
    if name not in package:
        raise Unreadable(f"its model part {excerpt(target.encode())} is not in the package")
    declared = _content_type(package, name)
    if declared not in (None, MODEL_TYPE):
        raise Unreadable(
            f"its model part is declared to be {excerpt(str(declared).encode())}, and no 3D model"
        )
    return name


def _part_name(target: str) -> str:
    """Turn the target of a relationship of the package itself into a part's name."""
    name = target.removeprefix("/")
    segments = [unquote(segment) for segment in name.split("/")]
    odd = any(segment in ("", ".", "..") or set(segment) & set("/\\:?#\0") for segment in segments)
    if odd or set(name) & set("?#"):
        raise Unreadable(
            f"its model is said to lie at {excerpt(target.encode())}, which is not a part of a package"
        )
    return name


def _content_type(package: Package, name: str) -> str | None:
    """Find the type declared for a part, by its name first, then by its ending; None where there is none."""
    types: dict[tuple[str, str], str] = {}
    for kind, row in _rows(package, CONTENT_TYPES, "its list of content types"):
        key = row.get("Extension", "").lower() if kind == _DEFAULT else _key(row.get("PartName", ""))
        types[kind, key.removeprefix("/")] = row.get("ContentType", "")
    by_ending = types.get((_DEFAULT, name.rpartition(".")[2].lower()))
    return types.get((_OVERRIDE, _key(name).removeprefix("/")), by_ending)


def _rows(package: Package, name: str, what: str) -> list[tuple[str, dict[str, str]]]:
    rows: list[tuple[str, dict[str, str]]] = []

    def start(element: str, attributes: list[str]) -> None:
        rows.append((element, attributes_of(attributes)))

    markup = Markup(what, start, lambda _: None)
    markup.feed(package.small(name, 4 << 20))
    markup.close()
    return rows
