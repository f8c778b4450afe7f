"""Colours that pictures and window share: ink and paper, limestone for shells, teal for cores."""

from typing import Final

INK: Final = "#20262A"
"""Lines on stone are dark by day and by night: it is the stone that they must stand out from."""
FAINT: Final = "#62686D"
HAIRLINE: Final = "#DDD7CB"
SUNKEN: Final = "#F3EFE7"
ACCENT: Final = "#7A2E4D"
SHELL: Final = "#8F754C"
CORE: Final = "#1F6B75"
"""FAINT, HAIRLINE, SUNKEN, ACCENT, SHELL, CORE: text that may be passed over, lines that part things, the
ground of what is set apart, the one accent, and the two parts of a hold; on light paper."""

_LESS_WARM: Final = "#8A867E"


def rgb(colour: str) -> tuple[float, float, float]:
    """Give ``#RRGGBB`` as three shares of 1."""
    return (int(colour[1:3], 16) / 255, int(colour[3:5], 16) / 255, int(colour[5:7], 16) / 255)


def mixed(first: str, second: str, share: float) -> str:
    """Mix two colours: `share` (0 to 1) of the second."""
    pairs = zip(rgb(first), rgb(second), strict=True)
    return "#" + "".join(f"{round(255 * (a + (b - a) * share)):02x}" for a, b in pairs)


def stone(name: str, shell: str = SHELL, core: str = CORE) -> str:
    """Give a solid's colour by its name, where shells and cores are drawn in these."""
    return core if name == "core" else mixed(shell, _LESS_WARM, 0.25)


def cut_tone(colour: str) -> str:
    """Give the lighter colour of the face where a solid of some colour is cut open."""
    return mixed(colour, "#FFFFFF", 0.5)
