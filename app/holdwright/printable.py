"""Names and paths as they are shown: nothing in them moves a cursor, hides text or turns its direction."""

import os
import re
from typing import Final

_UNSHOWABLE: Final = re.compile(
    "[\x00-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]"
)


def printable(text: str | os.PathLike[str]) -> str:
    r"""Write control characters, marks of direction and bytes that are no UTF-8 as escapes.

    >>> printable("hold\n\u202e\udcff")
    'hold\\n\\u202e\\xff'
    """
    return _UNSHOWABLE.sub(lambda found: _escape(found[0]), str(text))


def _escape(letter: str) -> str:
    byte = ord(letter) - 0xDC00  # as Python decodes file names (surrogateescape, PEP 383)
    return f"\\x{byte:02x}" if 0x80 <= byte <= 0xFF else ascii(letter)[1:-1]
