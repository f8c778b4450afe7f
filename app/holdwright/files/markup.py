"""XML out of a file nobody vouches for: no document types, no entities, no endless nesting, bounded work."""

from collections.abc import Callable
from typing import Final
from xml.parsers import expat

from holdwright.files.read_error import Unreadable, excerpt

DEEPEST: Final = 100
"""Elements inside one another; 3MF nests six deep, and extensions a little more."""

MOST_ELEMENTS: Final = 3_000_000
"""Elements taken one by one; rows of meshes that are read in bulk do not count."""

LONGEST_TAG: Final = 1 << 20
_MOST_NAMES = 10_000
_ENCODINGS = ("utf-8", "utf-16")

Start = Callable[[str, list[str]], None]
End = Callable[[str], None]


def attributes_of(pairs: list[str]) -> dict[str, str]:
    """Give attributes by name, from name, value, name, value and so on."""
    return dict(zip(pairs[::2], pairs[1::2], strict=True))


class Markup:
    """Feeds XML, piece by piece, to two functions.

    Parameters
    ----------
    what
        What is read, for messages: "its model".
    start
        Called with the name of each element and its attributes (name, value, name, value, ...). Names in a
        namespace are its address, a space, and the local name.
    end
        Called with the name of each element that ends.
    """

    def __init__(self, what: str, start: Start, end: End) -> None:
        self._what = what
        self._depth = 0
        self._elements = 0
        self._fed = 0
        self._passed_lines = 0
        self._start, self._end = start, end
        self.namespaces: dict[str, str] = {}
        self._parser = expat.ParserCreate(namespace_separator=" ")
        self._parser.ordered_attributes = True
        self._parser.XmlDeclHandler = self._declared
        self._parser.StartDoctypeDeclHandler = self._refuse_document_type
        self._parser.StartNamespaceDeclHandler = self._named
        self._parser.StartElementHandler = self._started
        self._parser.EndElementHandler = self._ended

    @property
    def line(self) -> int:
        """The line, from 1, of what was read last."""
        return self._parser.CurrentLineNumber + self._passed_lines

    def pass_over(self, text: bytes) -> None:
        """Know of text that was read by other means, so that lines are counted right."""
        self._passed_lines += text.count(b"\n")

    def feed(self, text: bytes) -> None:
        """Take in some more; `Unreadable` when it is not well formed, or is what it must not be."""
        self._parse(text, last=False)
        self._fed += len(text)
        if self._fed - self._parser.CurrentByteIndex > LONGEST_TAG + len(text):
            raise Unreadable(f"{self._what} has a tag of more than a million bytes")
        if len(self._parser.intern) > _MOST_NAMES:
            self._parser.intern.clear()

    def close(self) -> None:
        """Take it that all is said."""
        self._parse(b"", last=True)

    def _parse(self, text: bytes, *, last: bool) -> None:
        try:
            self._parser.Parse(text, last)
        except expat.ExpatError as error:
            reason = expat.errors.messages.get(error.code, "not well formed")
            raise Unreadable(
                f"{self._what} is not valid XML: {reason}, line {error.lineno + self._passed_lines:,}"
            ) from None

    def _declared(self, _version: str, encoding: str | None, _standalone: int) -> None:
        if encoding is not None and encoding.lower() not in _ENCODINGS:
            raise Unreadable(
                f"{self._what} is encoded in {excerpt(encoding.encode())}, and only UTF-8 and UTF-16 are "
                "allowed"
            )

    def _refuse_document_type(self, *_: object) -> None:
        raise Unreadable(f"{self._what} declares a document type, which is not allowed there")

    def _named(self, prefix: str | None, address: str | None) -> None:
        if len(self.namespaces) < _MOST_NAMES:
            self.namespaces[prefix or ""] = address or ""

    def _started(self, name: str, attributes: list[str]) -> None:
        self._depth += 1
        self._elements += 1
        if self._depth > DEEPEST:
            raise Unreadable(f"{self._what} nests elements more than {DEEPEST} deep")
        if self._elements > MOST_ELEMENTS:
            raise Unreadable(
                f"{self._what} has more than {MOST_ELEMENTS:,} elements that cannot be read in bulk",
                "export the sculpt with fewer triangles and without colours",
            )
        self._start(name, attributes)

    def _ended(self, name: str) -> None:
        self._depth -= 1
        self._end(name)
