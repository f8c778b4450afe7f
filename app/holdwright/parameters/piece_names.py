"""Which pieces of a sculpt are meant by names and patterns."""

import re
from collections.abc import Sequence
from fnmatch import translate
from functools import lru_cache

_matcher = lru_cache(4096)(lambda pattern: re.compile(translate(pattern)).match)


def matches(pattern: str, piece: str) -> bool:
    """Tell whether a piece, or the group it is part of ("group/piece"), is meant by a name or pattern.

    A name always means itself, even one with brackets or stars in it.
    """
    group = piece.rpartition("/")[0] or piece
    if pattern in (piece, group):
        return True
    return bool(set("*?[") & set(pattern)) and any(map(_matcher(pattern), (piece, group)))


def matches_any(patterns: Sequence[str], piece: str) -> bool:
    """Tell whether a piece is meant by one of several names or patterns."""
    return any(matches(pattern, piece) for pattern in patterns)


def without(patterns: Sequence[str], piece: str, pieces: Sequence[str]) -> tuple[str, ...]:
    """Give the patterns without one piece; those that meant it give way to the others they meant."""
    kept = [pattern for pattern in patterns if not matches(pattern, piece)]
    dropped = [pattern for pattern in patterns if matches(pattern, piece)]
    others = [
        each
        for each in pieces
        if each != piece and matches_any(dropped, each) and not matches_any(kept, each)
    ]
    return (*kept, *others)
