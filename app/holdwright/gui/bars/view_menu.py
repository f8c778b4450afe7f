"""The menu under the right button in the view: what can be copied there, the picture, and the views."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial

from PySide6.QtCore import QObject, QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMenu

from holdwright.gui.bars.actions import Actions
from holdwright.gui.bars.top_bar import VIEWS
from holdwright.gui.sidebar.finding_line import WORDS
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets.number_format import in_unit, length_text, quantity_text, typeset


class ViewMenu(QObject):
    """Opens where the view is clicked with the right button and not dragged.

    Parameters
    ----------
    facts
        Gives the figures of what is shown.
    """

    def __init__(self, viewport: Viewport, actions: Actions, facts: Callable[[], Sequence[str]]) -> None:
        super().__init__(viewport)
        self._viewport, self._actions, self._facts = viewport, actions, facts
        viewport.menu_requested.connect(self._open)

    def _open(self, x: float, y: float) -> None:
        menu = QMenu(self._viewport)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for title, text in self._texts(x, y):
            menu.addAction(title, partial(QGuiApplication.clipboard().setText, text))
        for name in ("copy_picture", "save_picture", "", *(f"view_{view}" for view in VIEWS), "", "fit"):
            menu.addAction(self._actions[name]) if name else menu.addSeparator()
        menu.popup(self._viewport.mapToGlobal(QPoint(round(x), round(y))))

    def _texts(self, x: float, y: float) -> Iterator[tuple[str, str]]:
        """Give what can be copied at a pixel, each with its entry."""
        viewport, unit = self._viewport, self._viewport.unit
        finding, pick = viewport.finding_at(x, y), viewport.pick(x, y)
        if finding is not None:
            told = f"{WORDS[finding.severity]}: {finding.message}\n{finding.advice}".strip()
            yield "Copy finding", typeset(in_unit(told, unit))
        if pick is not None and viewport.scene.sized:
            place = ", ".join(length_text(float(part), unit) for part in pick.point)
            heat = viewport.scene.heat
            value = heat.value_at(pick, viewport.scene.parts[pick.part].surface) if heat else None
            told = f": {heat.title.lower()} {quantity_text(value, heat.unit, unit)}" if heat and value else ""
            yield "Copy place", f"{place}{told}"
        if facts := self._facts():
            yield "Copy figures", ", ".join(facts)
