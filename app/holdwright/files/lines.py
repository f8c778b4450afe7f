"""Text cut into lines and blocks of lines, whatever the line ends, without losing count of them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from holdwright.geometry.arrays import Indices

BLOCK = 1 << 22
"""Bytes worked on at a time: enough to be quick, small enough to stay in the cache."""

_NEWLINE, _SPACE = b"\n "
_BLANKS = bytes.maketrans(b"\t\v\f\x00", b"    ")
COMMENT = re.compile(rb"#[^\n]*")


def plain_lines(text: bytes) -> bytes:
    r"""Turn every line end into "\n", the last one too, and drop a byte order mark."""
    text = text.removeprefix(b"\xef\xbb\xbf")
    if b"\r" in text:
        text = text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return text if text.endswith(b"\n") else text + b"\n"


def join_continued(text: bytes) -> bytes:
    r"""Blank out every "\" at the end of a line with the line end, byte for byte; comments do not go on."""
    if b"\\" not in text:
        return text

    def ended(comment: re.Match[bytes]) -> bytes:
        return comment[0][:-1] + b" " if comment[0].endswith(b"\\") else comment[0]

    text = COMMENT.sub(ended, text).replace(b"\\\n", b"  ")
    return text if text.endswith(b"\n") else text + b"\n"


def blocks(text: bytes, after: bytes = b"\n") -> Iterator[tuple[int, int]]:
    """Cut `text` into (start, end) stretches of about `BLOCK` bytes, each ending just after an `after`."""
    start = 0
    while start < len(text):
        end = start + BLOCK
        if end < len(text):
            found = text.rfind(after, start, end)
            found = found if found >= 0 else text.find(after, end - len(after))
            end = found + len(after) if found >= 0 else len(text)
        end = min(end, len(text))
        yield start, end
        start = end


def line_starts(block: bytes) -> Indices:
    """Find where the lines of `block` start, with the end of the last line as one entry more."""
    ends = np.flatnonzero(np.frombuffer(block, dtype=np.uint8) == _NEWLINE)
    starts = np.zeros(len(ends) + 1, dtype=np.int64)
    np.add(ends, 1, out=starts[1:])
    return starts


def tidy(block: bytes) -> bytes:
    """Part words by one space and take the blanks off both ends of each line, keeping the lines."""
    block = block.translate(_BLANKS)
    while b"  " in block:
        block = block.replace(b"  ", b" ")
    block = block.replace(b"\n ", b"\n").replace(b" \n", b"\n")
    return block[1:] if block.startswith(b" ") else block


def line_number(text: bytes, place: int) -> int:
    """Count the line, from 1, that byte `place` stands on."""
    return text.count(b"\n", 0, place) + 1


@dataclass
class Statements:
    """A block of lines, each beginning with its keyword, blanks tidied where they hid it."""

    block: bytes
    """The text, of as many lines as was given."""
    starts: Indices = field(init=False)
    """Where each line starts, and the end of the last."""
    first: NDArray[np.uint8] = field(init=False)
    """First byte of each line."""
    _worded: np.ndarray = field(init=False)

    def __post_init__(self) -> None:
        if self._look():
            self.block = tidy(self.block)
            self._look()

    def _look(self) -> bool:
        """Find the lines; tells whether one begins in a way that calls for tidying."""
        letters = np.frombuffer(self.block, dtype=np.uint8)
        self.starts = line_starts(self.block)
        begins = self.starts[:-1]
        self.first = letters.take(begins)
        second = letters.take(begins + 1, mode="clip")
        self._worded = (second == _SPACE) | (second == _NEWLINE)
        blank = self.first == _NEWLINE
        return bool((~blank & ((self.first <= _SPACE) | ((second < _SPACE) & (second != _NEWLINE)))).any())

    def rows(self, letter: int) -> Indices:
        """Give the numbers of the lines whose keyword is one letter."""
        return np.flatnonzero((self.first == letter) & self._worded)

    def text(self, rows: Indices) -> bytes:
        """Put the text of some lines together."""
        if len(rows) == len(self.first):
            return self.block
        breaks = np.flatnonzero(np.diff(rows) > 1)
        begins = self.starts[rows[np.append(0, breaks + 1)]].tolist()
        ends = self.starts[rows[np.append(breaks, len(rows) - 1)] + 1].tolist()
        return b"".join([self.block[begin:end] for begin, end in zip(begins, ends, strict=True)])

    def line(self, row: int) -> bytes:
        """Give one line."""
        return self.block[self.starts[row] : self.starts[row + 1]]
