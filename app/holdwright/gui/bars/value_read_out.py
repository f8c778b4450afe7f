"""The figure of a colour map under the pointer."""

from collections.abc import Callable

from PySide6.QtCore import QObject

from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets.number_format import quantity_text


class ValueReadOut(QObject):
    """Writes it beside the pointer while that is wanted.

    Parameters
    ----------
    name
        Of its words in the view.
    wanted
        Tells whether the map shown is its own.
    """

    def __init__(self, viewport: Viewport, name: str, wanted: Callable[[], bool], parent: QObject) -> None:
        super().__init__(parent)
        self._viewport, self._wanted = viewport, wanted
        self._words = GhostPainter(viewport, name)
        viewport.pointed.connect(self._read_out)

    def clear(self) -> None:
        """Take the words away."""
        self._words.clear()

    def _read_out(self, x: float, y: float) -> None:
        scene = self._viewport.scene
        if scene.heat is None or not self._wanted():
            self._words.clear()
            return
        pick = self._viewport.pick(x, y) if x >= 0.0 else None
        value = scene.heat.value_at(pick, scene.parts[pick.part].surface) if pick is not None else None
        self._words.begin()
        if pick is not None and value is not None:
            text = quantity_text(value, scene.heat.unit, self._viewport.unit)
            more = "+" if scene.heat.signed and value > 0.0 else ""
            self._words.label("", scene.shown_at(pick.point[None])[0], f"{more}{text}")
        self._words.end()
