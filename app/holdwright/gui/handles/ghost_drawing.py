"""Draws a tool's ghosts, under names that no other tool has, in the accent and at one set of weights."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from holdwright.geometry.arrays import Floats
from holdwright.gui.handles.shapes import Mesh
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets import style
from holdwright.render.contour import CutPlane

HIDDEN: Final = 0.8
FINE: Final = 1.2
PLAIN: Final = 1.8
BOLD: Final = 3.0
"""Widths of lines in device-independent pixels."""

LABEL_SHIFT: Final = (0.0, -24.0)
"""Where words stand to their place, in pixels to the right and down."""


class GhostPainter:
    """Draws by name; what is not drawn again between `begin` and `end` is taken away.

    Parameters
    ----------
    prefix
        Set before every name.
    """

    def __init__(self, viewport: Viewport, prefix: str) -> None:
        self._viewport = viewport
        self._overlay = viewport.overlay
        self._prefix = prefix
        self._drawn: set[str] = set()
        self._fresh: set[str] = set()

    @property
    def tones(self) -> style.Colours:
        """The colours of the scheme the view is drawn in."""
        return self._viewport.tones

    def begin(self) -> None:
        """Start a drawing in place of the last."""
        self._fresh = set()

    def end(self) -> None:
        """Take away what the last drawing had and this one has not."""
        for name in self._drawn - self._fresh:
            self._overlay.remove(name)
        self._drawn = self._fresh

    def clear(self) -> None:
        """Take everything away."""
        self.begin()
        self.end()

    def line(
        self, name: str, points: ArrayLike, *, width: float = PLAIN, hot: bool = False, through: bool = False
    ) -> None:
        """Draw a polyline (n, 3), or several (k, n, 3).

        Parameters
        ----------
        hot
            It is under the pointer.
        through
            It lies on or in the hold: where that hides it, it is drawn as well, but thin.
        """
        width += 1.2 if hot else 0.0
        colour = self._on_stone(hot) if through else self._colour(hot)
        self._overlay.set_lines(self._own(name), points, colour, width)
        if through:
            thin = HIDDEN + (0.6 if hot else 0.0)
            self._overlay.set_lines(self._own(f"{name}-hidden"), points, colour, thin, over=True)

    def quiet_line(self, name: str, points: ArrayLike, *, width: float = FINE, over: bool = False) -> None:
        """Draw a polyline, or several, that is there to be measured by and not to be taken."""
        self._overlay.set_lines(self._own(name), points, self.tones.faint, width, over=over)

    def ghost(self, name: str, segments: Floats) -> None:
        """Draw the outline of something as it would be, before everything."""
        if len(segments):
            self._overlay.set_lines(self._own(name), segments, self.tones.accent, PLAIN, over=True)

    def sheet(
        self, name: str, mesh: Mesh, opacity: float, *, quiet: bool = False, without: CutPlane | None = None
    ) -> None:
        """Draw a translucent surface; a quiet one is not there to be taken. `without`: as of the overlay."""
        colour = self.tones.faint if quiet else self.tones.accent
        self._surface(name, mesh, colour, opacity, without)

    def patch(self, name: str, mesh: Mesh) -> None:
        """Draw a part of the hold's surface in another colour."""
        self._surface(name, mesh, self._on_stone(hot=False), 1.0)

    def knob(self, name: str, place: ArrayLike, *, hot: bool = False, filled: bool = True) -> None:
        """Draw a knob with a rim of paper; one that is not filled shows paper inside as well."""
        # In device-independent pixels; under the pointer a little more.
        size = 13.0 + (3.0 if hot else 0.0)
        points = np.asarray(place, dtype=np.float64).reshape(-1, 3)
        self._overlay.set_points(self._own(f"{name}-rim"), points, self.tones.paper, size + 4.0)
        self._overlay.set_points(self._own(f"{name}-knob"), points, self._colour(hot), size)
        if not filled:
            self._overlay.set_points(self._own(f"{name}-hollow"), points, self.tones.paper, size - 5.0)

    def mark(self, name: str, place: ArrayLike, *, filled: bool = True) -> None:
        """Draw square marks: they tell something and cannot be taken, as knobs can."""
        points = np.asarray(place, dtype=np.float64).reshape(-1, 3)
        for part, colour, size in (("rim", self.tones.paper, 11.0), ("mark", self.tones.ink, 8.0)):
            self._overlay.set_points(self._own(f"{name}-{part}"), points, colour, size, square=True)
        if not filled:
            self._overlay.set_points(self._own(f"{name}-hollow"), points, self.tones.paper, 4.0, square=True)

    def label(self, name: str, place: ArrayLike, text: str, shift: tuple[float, float] = LABEL_SHIFT) -> None:
        """Write a figure or a few words beside a place."""
        self._overlay.set_label(self._own(name), place, text, shift)

    def _surface(
        self, name: str, mesh: Mesh, colour: str, opacity: float, without: CutPlane | None = None
    ) -> None:
        points, triangles = mesh
        if len(triangles):
            self._overlay.set_mesh(self._own(name), points, triangles, colour, opacity, without=without)

    def _colour(self, hot: bool) -> str:
        return style.mixed(self.tones.accent, "#FFFFFF", 0.3) if hot else self.tones.accent

    def _on_stone(self, hot: bool) -> str:
        """Give the accent so that it stands out from stone, which is light by day and by night."""
        if self.tones.accent == style.LIGHT.accent:
            return self._colour(hot)
        return self.tones.accent if hot else style.mixed(self.tones.accent, style.LIGHT.accent, 0.85)

    def _own(self, name: str) -> str:
        own = f"{self._prefix}/{name}"
        self._fresh.add(own)
        return own
