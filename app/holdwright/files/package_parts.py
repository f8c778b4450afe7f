"""Which part of a 3MF package is the model: told by its relationships and content types, never by its name.

Source: 3MF Core Specification 1.3, 2.1.1; Open Packaging Conventions, ECMA-376 part 2, 6.5 and 7.
"""

from typing import Final
from urllib.parse import unquote

from holdwright.files.markup import Markup
from holdwright.files.package import Package
from holdwright.files.read_error import Unreadable, excerpt

START: Final = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
MODEL_TYPE: Final = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
CONTENT_TYPES: Final = "[Content_Types].xml"
RELATIONSHIPS: Final = "_rels/.rels"

_RELATIONSHIP = "http://schemas.openxmlformats.org/package/2006/relationships Relationship"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_NO_PACKAGE = "give the 3MF, OBJ, STL, PLY or GLB file itself, unpacked if it is inside"


def model_part(package: Package) -> str:
    """Find the name of the one 3D model part.

    Raises
    ------
    Unreadable
        When the archive is no package, or starts with no model, with several, or with one outside.
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
            f"its model is said to lie at {excerpt(target.encode())}, which is no part of a package"
        )
    return name


def _content_type(package: Package, name: str) -> str | None:
    """Find the type declared for a part, by its name first, then by its ending; None where there is none."""
    by_ending: dict[str, str] = {}
    by_name: dict[str, str] = {}
    for kind, row in _rows(package, CONTENT_TYPES, "its list of content types"):
        if kind == f"{_TYPES} Default":
            by_ending[row.get("Extension", "").lower()] = row.get("ContentType", "")
        elif kind == f"{_TYPES} Override":
            by_name[_plain(row.get("PartName", ""))] = row.get("ContentType", "")
    return by_name.get(_plain(name), by_ending.get(name.rpartition(".")[2].lower()))


def _plain(name: str) -> str:
    return unquote(name.removeprefix("/")).lower()


def _rows(package: Package, name: str, what: str) -> list[tuple[str, dict[str, str]]]:
    rows: list[tuple[str, dict[str, str]]] = []

    def start(element: str, attributes: list[str]) -> None:
        rows.append((element, dict(zip(attributes[::2], attributes[1::2], strict=True))))

    markup = Markup(what, start, lambda _: None)
    markup.feed(package.small(name, 4 << 20))
    markup.close()
    return rows
