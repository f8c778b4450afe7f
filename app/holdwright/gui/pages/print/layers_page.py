"""The layers of the print: their area as a graph, and any of them drawn."""

import numpy as np
from PySide6.QtWidgets import QWidget

from holdwright.export.layers_view import LayersView
from holdwright.geometry.arrays import Floats
from holdwright.gui.document.document import Document
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.form.slider import Slider
from holdwright.gui.pages.print.area_graph import AreaGraph
from holdwright.gui.pages.print.layer_drawing import LayerDrawing
from holdwright.gui.pages.print.part_table import PartTable, TableRow
from holdwright.gui.pages.print.print_page import EstimatedPage
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import TextLabel, column
from holdwright.gui.widgets.number_format import Preferred, length_text
from holdwright.printing.estimate_texts import time_text
from holdwright.units import MILLIMETRES


class LayersPage(EstimatedPage):
    """A slider goes through all layers.

    Attributes
    ----------
    graph, slider, drawing, table
        Area of all layers; which one is looked at, drawn, and its figures.
    """

    def __init__(self, document: Document, work: PrintWork, parent: QWidget | None = None) -> None:
        super().__init__("Layers", document, work, ("estimate", "Estimate"), parent)
        self._content = QWidget(self)
        self.graph = AreaGraph(self._content)
        self.slider = Slider("Layer", "Which layer is looked at", self._content, most=0)
        self.drawing = LayerDrawing(self._content)
        self.table = PartTable("Figures of the layer", self._content)
        self.title = TextLabel("", self._content, bold=True)
        column(
            self.graph,
            self.slider,
            self.title,
            self.drawing,
            self.table,
            on=self._content,
            gap=style.GRID,
        )
        self.column.addWidget(self._content)
        self.column.addStretch(1)
        self._shown: LayersView | None = None
        self.slider.valueChanged.connect(self._show_layer)
        self.graph.chosen.connect(self.slider.setValue)
        work.drawn.connect(self._show_layer)

    def show_work(self) -> None:
        """Show all layers of what was computed."""
        view = self.print_work.view
        self._content.setVisible(view is not None)
        if view is None:
            self._shown = None
            return
        areas = {name: _aligned(view, name) for name in view.figures}
        self.graph.show_areas(view.heights, areas, self.unit, stale=not self.print_work.is_current)
        if view is not self._shown:
            self._shown = view
            last = len(view.heights) - 1
            fresh = self.slider.maximum() == 0
            self.slider.show_value(last // 3 if fresh else min(self.slider.value(), last), 0, last)
        self._show_layer()

    def _show_layer(self) -> None:
        """Draw the layer looked at, and write its figures."""
        view, number = self.print_work.view, self.slider.value()
        if view is None or not self.isVisible():
            return
        height, stale = float(view.heights[number]), not self.print_work.is_current
        self.graph.show_number(number)
        self.drawing.show_layer(view, self.print_work.layer(number), self.unit, stale=stale)
        top = height + view.rule.height / 2.0
        text = f"Layer {number + 1} of {len(view.heights)}, up to {length_text(top, self.unit)}"
        self.title.setText(text)
        self.slider.setAccessibleDescription(text)
        self.table.show_rows(tuple(view.figures), layer_rows(view, number, self.unit), stale=stale)


def layer_rows(view: LayersView, number: int, unit: Preferred) -> tuple[TableRow, ...]:
    """Write the areas of a layer, and how long it takes."""
    side, name = (MILLIMETRES["cm"], "cm²") if unit == "mm" else (MILLIMETRES["inch"], "in²")
    places = {part: _place(view, part, number) for part in view.figures}
    rows = []
    for title, which in (("Passes", "band"), ("Solid", "solid"), ("Infill", "infill")):
        areas = [
            getattr(view.figures[part], which)[place] / side**2 if place is not None else None
            for part, place in places.items()
        ]
        cells = tuple(("-" if area is None else f"{area:.1f} {name}", "") for area in areas)
        rows.append(TableRow(title, "", cells))
    times = ("-" if place is None else time_text(view.times[part][place]) for part, place in places.items())
    return (*rows, TableRow("Time", "", tuple((each, "") for each in times)))


def _place(view: LayersView, part: str, number: int) -> int | None:
    """Give which of a part's own layers lies at the height of one; None where none does."""
    middle = view.figures[part].middle
    place = round((float(view.heights[number]) - float(middle[0])) / view.rule.height)
    return place if 0 <= place < len(middle) else None


def _aligned(view: LayersView, part: str) -> Floats:
    """Give a part's areas at the heights of all layers, (n,) mm2; none where it does not reach."""
    places = [_place(view, part, number) for number in range(len(view.heights))]
    area = view.figures[part].area
    return np.array([0.0 if place is None else area[place] for place in places])
