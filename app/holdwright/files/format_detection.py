"""Which format a file has, by what is in it; its ending only decides where the content does not."""

import re
from typing import Final, Literal

from holdwright.files.gltf_document import MAGIC
from holdwright.files.read_error import Unreadable
from holdwright.files.read_stl import HEADER_BYTES, RECORD_BYTES, claimed_triangles

Format = Literal["OBJ", "binary STL", "text STL", "PLY", "3MF", "GLB", "glTF"]

_HEAD = 1 << 16
_OTHER_FORMATS = (
    (b"\x1f\x8b", "a gzip archive"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"\xff\xfe", "text in UTF-16"),
    (b"\xfe\xff", "text in UTF-16"),
)
_MARKUP = re.compile(rb"<(?:!doctype|html|head|body|\?xml|svg|model|collada)\b", re.IGNORECASE)
_OBJ_LINE = re.compile(rb"(?:^|[\r\n])[ \t]*(?:v|vt|vn|f|o|g|s|l|p|usemtl|mtllib)[ \t\r\n]")
_BEGINNINGS: Final[tuple[tuple[bytes, Format], ...]] = (
    (b"PK\x03\x04", "3MF"),
    (b"PK\x05\x06", "3MF"),
    (MAGIC, "GLB"),
)
ENDINGS: Final[dict[str, str]] = {
    ".obj": "OBJ",
    ".stl": "STL",
    ".ply": "PLY",
    ".3mf": "3MF",
    ".glb": "GLB",
    ".gltf": "glTF",
}
"""What each ending stands for."""

READ: Final = "OBJ, STL, PLY, 3MF or GLB"
"""The formats, for sentences."""

_ADVICE = f"export the sculpt as {READ}"


def recognise(content: bytes, ending: str) -> Format:
    """Tell the format of a file.

    Parameters
    ----------
    content
        The whole file.
    ending
        The end of its name with the dot, such as ".obj".

    Raises
    ------
    Unreadable
        When it is empty, or certainly no mesh in one of the formats read.
    """
    if not content:
        raise Unreadable("it is empty")
    if len(content) == HEADER_BYTES + RECORD_BYTES * claimed_triangles(content):
        return "binary STL"
    head = content[:_HEAD].removeprefix(b"\xef\xbb\xbf").lstrip()
    for beginning, kind in _BEGINNINGS:
        if content.startswith(beginning):
            return kind
    for beginning, what in _OTHER_FORMATS:
        if head.startswith(beginning):
            raise Unreadable(f"it is {what}", _ADVICE)
    if _MARKUP.match(head):
        raise Unreadable(
            "it is a web page or another document in angle brackets", f"{_ADVICE}, or download it again"
        )
    if re.match(rb"ply[ \t]*[\r\n]", head):
        return "PLY"
    found = _text_format(head, ending, content) if b"\0" not in head else None
    if found is None and ending == ".stl" and b"\0" in head:
        found = "binary STL"
    if found is None:
        named = ENDINGS.get(ending)
        what = f"is not {named}" if named else "is not OBJ, STL, PLY, 3MF or GLB"
        raise Unreadable(f"its content {what}", _ADVICE)
    return found


def _text_format(head: bytes, ending: str, content: bytes) -> Format | None:
    if head.startswith(b"{") and (ending == ".gltf" or b'"asset"' in content):
        return "glTF"
    if re.match(rb"solid(?!\S)", head, re.IGNORECASE):
        return "text STL"
    if _OBJ_LINE.search(head) or ending == ".obj":
        return "OBJ"
    return None
