"""Files of sculpts and recipes changed at random, as damage, other programs and mishaps leave them."""

import copy
import json
import random
import re
from collections.abc import Callable
from typing import Any

_NUMBER = re.compile(rb"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")
_ODD_NUMBERS = (
    b"nan",
    b"inf",
    b"1e308",
    b"-1e308",
    b"1e-320",
    b"-1",
    b"0",
    b"99999999999",
    b"",
    b"0x7",
    b"7.5",
)
_ODD_VALUES: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1, 3, 1e-9, 1e9, -1e308, 10**400, 0.5, 90, 360, "", "x", "s1", "none", "\0"),
    *("\ud800", "M10 socket cap ISO 4762", "../../x", "*", "[", [], {}, [[]], [0, 0], [1, 2, 3], "a" * 5000),
    *([{"point": [0, 0, 20]}] * 3, [{"point": [1, 2, 3], "normal": [0, 0, 0]}], {"point": [40, 0, 20]}),
)


def mutated(content: bytes, choose: random.Random) -> bytes:
    """Change a file's bytes in one to four places."""
    for _ in range(choose.choice((1, 1, 2, 4))):
        content = choose.choice(_CHANGES)(content, choose)
    return content


def _span(content: bytes, choose: random.Random) -> tuple[int, int]:
    start = choose.randrange(len(content) + 1)
    return start, min(len(content), start + choose.choice((1, 2, 8, 60, 1000)))


def _flipped(content: bytes, choose: random.Random) -> bytes:
    changed = bytearray(content)
    for _ in range(choose.choice((1, 3, 30)) if content else 0):
        changed[choose.randrange(len(changed))] ^= 1 << choose.randrange(8)
    return bytes(changed)


def _cut(content: bytes, choose: random.Random) -> bytes:
    return content[: choose.randrange(len(content) + 1)]


def _dropped(content: bytes, choose: random.Random) -> bytes:
    start, end = _span(content, choose)
    return content[:start] + content[end:]


def _repeated(content: bytes, choose: random.Random) -> bytes:
    start, end = _span(content, choose)
    return content[:end] + content[start:end] * choose.choice((1, 3, 20)) + content[end:]


def _overwritten(content: bytes, choose: random.Random) -> bytes:
    start, end = _span(content, choose)
    filler = choose.choice((b"\0", b"\xff", b"\n", b" ", b"9", b'"'))
    return content[:start] + filler * (end - start) + content[end:]


def _odd_number(content: bytes, choose: random.Random) -> bytes:
    found = _NUMBER.search(content, choose.randrange(len(content) + 1))
    if found is None:
        return content
    return content[: found.start()] + choose.choice(_ODD_NUMBERS) + content[found.end() :]


def _moved(content: bytes, choose: random.Random) -> bytes:
    lines = content.split(b"\n")
    line = lines.pop(choose.randrange(len(lines)))
    lines.insert(choose.randrange(len(lines) + 1), line)
    return b"\n".join(lines)


_CHANGES: tuple[Callable[[bytes, random.Random], bytes], ...] = (
    *(_flipped, _cut, _dropped, _repeated, _overwritten, _odd_number, _odd_number, _moved),
)


def mutated_recipe(content: dict[str, Any], choose: random.Random) -> bytes:
    """Change a recipe's values in one to three places, or now and then its bytes."""
    content = copy.deepcopy(content)
    for _ in range(choose.choice((1, 1, 2, 3))):
        _change_value(content, choose)
    text = json.dumps(content).encode()
    return mutated(text, choose) if choose.random() < 0.2 else text


def _change_value(content: dict[str, Any], choose: random.Random) -> None:
    places = list(_places(content))
    holder, key = choose.choice(places)
    kind = choose.random()
    if kind < 0.65:
        holder[key] = copy.deepcopy(choose.choice(_ODD_VALUES))
    elif kind < 0.75:
        del holder[key]
    elif kind < 0.9:
        other, name = choose.choice(places)
        holder[key] = copy.deepcopy(other[name])
    elif isinstance(holder, list):
        holder.insert(choose.randrange(len(holder) + 1), copy.deepcopy(holder[key]))
        choose.shuffle(holder)
    else:
        holder[choose.choice(("odd", "", "x" * 3000, "a.b"))] = holder.pop(key)


def _places(value: Any) -> Any:
    """Give every place within JSON values, as its list or group and its key there."""
    keys = value if isinstance(value, dict) else range(len(value))
    for key in keys:
        yield value, key
        if isinstance(value[key], dict | list):
            yield from _places(value[key])
