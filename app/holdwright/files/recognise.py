"""Which format a file has, by what is in it; its ending only decides where the content does not."""

import re
from typing import Literal

from holdwright.files.read_stl import HEADER, RECORD, claimed_triangles
from holdwright.files.unreadable import Unreadable

Format = Literal["OBJ", "binary STL", "text STL", "PLY"]

_HEAD = 1 << 16
_OTHER_FORMATS = (
    (b"PK\x03\x04", "a zip archive"),
    (b"PK\x05\x06", "an empty zip archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"glTF", "a binary glTF scene"),
    (b"\xff\xfe", "text in UTF-16"),
    (b"\xfe\xff", "text in UTF-16"),
)
_MARKUP = re.compile(rb"<(?:!doctype|html|head|body|\?xml|svg|model|collada)\b", re.IGNORECASE)
_OBJ_LINE = re.compile(rb"(?:^|[\r\n])[ \t]*(?:v|vt|vn|f|o|g|s|l|p|usemtl|mtllib)[ \t\r\n]")
_ADVICE = "export the sculpt as OBJ, STL or PLY"


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
    if len(content) == HEADER + RECORD * claimed_triangles(content):
        return "binary STL"
    head = content[:_HEAD].removeprefix(b"\xef\xbb\xbf").lstrip()
    for beginning, what in _OTHER_FORMATS:
        if head.startswith(beginning):
            raise Unreadable(f"it is {what}", _ADVICE)
    if _MARKUP.match(head):
        raise Unreadable(
            "it is a web page or another document in angle brackets", f"{_ADVICE}, or download it again"
        )
    if re.match(rb"ply[ \t]*[\r\n]", head):
        return "PLY"
    is_text = b"\0" not in head
    if re.match(rb"solid(?!\S)", head, re.IGNORECASE) and is_text:
        return "text STL"
    if is_text and (_OBJ_LINE.search(head) or ending == ".obj"):
        return "OBJ"
    if ending == ".stl" and not is_text:
        return "binary STL"
    kind = {".obj": "OBJ", ".stl": "STL", ".ply": "PLY"}.get(ending)
    raise Unreadable(
        f"its content is not {kind}" if kind else "its content is neither OBJ, STL nor PLY", _ADVICE
    )
