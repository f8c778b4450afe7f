"""Words in braces that stand in a text for what is known of the hold only once it is made."""

import re
from collections.abc import Mapping
from typing import Final

PLACEHOLDERS: Final = ("name", "number", "size", "hand")
"""Name and number of the hold in its set, size by its trade name or as a set asks for it, and "mirrored" on
the other hand."""

_BRACES: Final = re.compile(r"\{([^{}]*)\}")


def checked(text: str) -> str:
    """Give a text back if all that stands in braces is known; else raise `ValueError` with a sentence."""
    for word in _BRACES.findall(text):
        if word.strip() not in PLACEHOLDERS:
            known = ", ".join(f"{{{each}}}" for each in PLACEHOLDERS)
            raise ValueError(f"has {{{word}}} in it, but nothing is known to put there; known are {known}")
    return text


def used_in(text: str) -> set[str]:
    """Name the placeholders of a text."""
    return {word.strip() for word in _BRACES.findall(text)}


def filled(text: str, values: Mapping[str, str]) -> str:
    """Put in what is known; placeholders without a value stay, blanks round one that is blank are one."""

    def value(found: re.Match[str]) -> str:
        return values.get(found[1].strip(), found[0])

    put_in = _BRACES.sub(value, text)
    return text if put_in == text else re.sub(r"  +", " ", put_in).strip()
