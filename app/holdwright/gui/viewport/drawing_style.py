"""What things are drawn with in each scheme: stone, ink and paper."""

from dataclasses import dataclass, replace
from typing import Final

from holdwright.gui.widgets import style
from holdwright.render.tones import cut_tone, mixed, stone


@dataclass(frozen=True)
class DrawingStyle:
    """The view's colours."""

    tones: style.Colours
    """Of the window at large."""
    exposure: float
    """How bright stone is in full light, of its own colour (linear)."""
    shade: float
    """How dark a cast shadow on the wall is, 0 to 1."""
    grid: str
    """Lines on the wall."""
    pixel: float = 1.0
    """Device pixels to a device-independent one, of the screen drawn on."""

    def stone(self, name: str) -> str:
        """Give a solid's colour."""
        return stone(name, self.tones.shell, self.tones.core)

    def cut(self, name: str) -> str:
        """Give the lighter colour of the face where a solid is cut open."""
        return cut_tone(self.stone(name))

    def clay(self, number: int) -> str:
        """Give one of many slightly different colours, for the pieces of a raw sculpt."""
        share = (number * 0.618034) % 1.0
        other = "#5E6A63" if number % 2 else "#B08A5A"
        return mixed(mixed(self.tones.shell, other, 0.3), "#FFFFFF", 0.24 * share)


LIGHT: Final = DrawingStyle(style.LIGHT, exposure=2.1, shade=0.30, grid="#B5AC9A")
DARK: Final = DrawingStyle(style.DARK, exposure=0.86, shade=0.45, grid="#59635F")


def look(scheme: style.Scheme, pixel: float) -> DrawingStyle:
    """Give the view's colours in a scheme, on a screen of some density."""
    return replace(LIGHT if scheme == "light" else DARK, pixel=pixel)
